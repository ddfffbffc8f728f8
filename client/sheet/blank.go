package sheet

import (
	"fmt"
	"io"
	"slices"

	"github.com/xuri/excelize/v2"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Columns are the columns of a table in the order they are written.
func Columns() []string { return keysOf(cellFields()) }

// blankRows is how many rows of a blank workbook offer a choice.
const blankRows = 500

// WriteBlank writes a table that has a heading and no rows, for CSV or XLSX.
// help is for a workbook: a sheet with a heading and rows of its own, that says
// how to fill the table in. The error is the writer's, or for another format.
func WriteBlank(w io.Writer, format Format, help [][]string) error {
	heading := [][]string{Columns()}
	switch format {
	case CSV:
		return writeTable(w, ',', heading)
	case XLSX:
		return writeWorkbook(w, heading, help)
	}
	return fmt.Errorf("a blank table of %s cannot be written: it is csv or xlsx", format)
}

// offerChoices lets a person choose a kind and a condition, or write another word.
func offerChoices(book *excelize.File) error {
	var kinds []string
	for _, k := range trade.Kinds() {
		kinds = append(kinds, trade.KindWord(k))
	}
	var conditions []string
	for c := pb.Condition_CONDITION_WORKING; c <= pb.Condition_CONDITION_FOR_PARTS; c++ {
		conditions = append(conditions, trade.ConditionWord(c))
	}
	for column, words := range map[string][]string{"kind": kinds, "condition": conditions} {
		at, err := excelize.ColumnNumberToName(1 + slices.Index(Columns(), column))
		if err != nil {
			return err
		}
		choice := excelize.NewDataValidation(true)
		choice.ShowErrorMessage = false
		choice.SetSqref(fmt.Sprintf("%s2:%s%d", at, at, blankRows+1))
		if err := choice.SetDropList(words); err != nil {
			return err
		}
		if err := book.AddDataValidation(inventorySheet, choice); err != nil {
			return err
		}
	}
	return nil
}
