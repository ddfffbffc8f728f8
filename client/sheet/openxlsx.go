package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"
)

// openWorkbook opens a workbook after it was found to be of a bearable size,
// and looks over its sheets.
func openWorkbook(r io.Reader) (*excelize.File, map[string]*part, error) {
	raw, err := readRaw(r)
	if err != nil {
		return nil, nil, err
	}
	if err := isWorkbook(raw); err != nil {
		return nil, nil, err
	}
	parts, err := lookOver(raw)
	if err != nil {
		return nil, nil, err
	}
	book, err := excelize.OpenReader(bytes.NewReader(raw), excelize.Options{UnzipSizeLimit: maxUnzipped, UnzipXMLSizeLimit: maxUnzipped})
	if err != nil {
		return nil, nil, fmt.Errorf("cannot be read as a workbook: %w", err)
	}
	return book, parts, nil
}

// isWorkbook tells by how a file begins what it is, if it is no workbook.
func isWorkbook(raw []byte) error {
	switch {
	case len(raw) == 0:
		return errors.New("is empty")
	case bytes.HasPrefix(raw, []byte("PK\x03\x04")):
		return nil
	case bytes.HasPrefix(raw, []byte("\xd0\xcf\x11\xe0")):
		return errors.New("is a workbook of the old kind, or has a password: save it as .xlsx without a password")
	}
	return errors.New("is no workbook, whatever its name says: if it is a text with commas, name it .csv")
}

// lookOver unzips a workbook once, to see that it keeps within the limits and
// what marks the cells of its sheets have.
func lookOver(raw []byte) (map[string]*part, error) {
	archive, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return nil, fmt.Errorf("is damaged: %w", err)
	}
	if n := len(archive.File); n > maxParts {
		return nil, fmt.Errorf("is made of %d files: a workbook of more than %d is not opened", n, maxParts)
	}
	var total uint64
	for _, f := range archive.File {
		if total += f.UncompressedSize64; f.UncompressedSize64 > maxUnzipped || total > maxUnzipped {
			return nil, fmt.Errorf("unpacks to more than %d MiB and is not opened: save only the sheet with the inventory", maxUnzipped>>20)
		}
	}
	parts := map[string]*part{}
	for _, f := range archive.File {
		if name := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/")); strings.HasPrefix(name, "xl/worksheets/") && strings.HasSuffix(name, ".xml") {
			if parts[name], err = lookOverPart(f); err != nil {
				return nil, err
			}
		}
	}
	return parts, nil
}

func lookOverPart(f *zip.File) (*part, error) {
	in, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("is damaged: %w", err)
	}
	defer in.Close()
	p := &part{marks: map[spot]mark{}, hiddenRows: map[int]bool{}}
	return p, p.scan(in)
}
