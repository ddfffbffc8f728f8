package walk

import (
	"bytes"
	"fmt"
	"os"

	"heirpress/client/sheet"
)

// finish writes the sheet, and then needs the journal no more. Broken off before
// the sheet is there, the next walk goes on with the journal; after that, it
// finds by the digest that all is done.
func (w *walk) finish() (Report, error) {
	shop, lots, err := w.walked()
	if err != nil {
		return w.report(CutOff), err
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, sheet.YAML, shop, lots); err != nil {
		return w.report(CutOff), err
	}
	report := w.report(Finished)
	report.Lots = len(lots)
	if err := w.journal.add(entry{Sheet: digest(b.Bytes())}); err != nil {
		return w.report(CutOff), err
	}
	if report.Before, err = w.keepBefore(); err != nil {
		return w.report(CutOff), fmt.Errorf("the sheet that is there cannot be kept: %w", err)
	}
	if err := replaceFile(w.o.Path, b.Bytes()); err != nil {
		return w.report(CutOff), fmt.Errorf("the sheet cannot be written: %w", err)
	}
	return report, w.journal.remove()
}

// keepBefore keeps a copy of the sheet that the walk went on from, since
// comments in it are not carried over.
func (w *walk) keepBefore() (string, error) {
	if w.base == none {
		return "", nil
	}
	body, err := os.ReadFile(w.o.Path)
	if err != nil {
		return "", err
	}
	before := w.o.Path + ".before"
	return before, replaceFile(before, body)
}
