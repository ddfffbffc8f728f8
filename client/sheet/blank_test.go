package sheet

import (
	"bytes"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// A blank table is read as a sheet without lots, and one that is filled in as a
// sheet with them; the help beside it is passed over.
func TestBlank(t *testing.T) {
	help := [][]string{{"column", "question"}, {"title", "What is it?"}}
	for _, f := range []Format{CSV, XLSX} {
		var b bytes.Buffer
		must(t, WriteBlank(&b, f, help))
		s, err := Read("x."+string(f), bytes.NewReader(b.Bytes()))
		must(t, err)
		if len(s.Lots)+len(s.Bad)+len(s.Unknown)+len(s.Notes) > 0 || strings.Join(s.header, ",") != strings.Join(Columns(), ",") {
			t.Errorf("%s: %+v", f, s)
		}
		if f != XLSX {
			continue
		}
		book, err := excelize.OpenReader(&b)
		must(t, err)
		must(t, book.SetCellStr(inventorySheet, "C2", "Composing sticks"))
		choices, err := book.GetDataValidations(inventorySheet)
		must(t, err)
		if len(choices) != 2 || !strings.Contains(choices[0].Formula1+choices[1].Formula1, "wood type") || !strings.Contains(choices[0].Formula1+choices[1].Formula1, "needs repair") {
			t.Errorf("the choices are %v", choices)
		}
		must(t, book.Write(&b))
		if s := readBytes(t, b.Bytes()); len(s.Lots) != 1 {
			t.Errorf("filled in it is %+v", s)
		}
	}
	if err := WriteBlank(new(bytes.Buffer), YAML, nil); err == nil || err.Error() != "a blank table of yaml cannot be written: it is csv or xlsx" {
		t.Errorf("got %v", err)
	}
}
