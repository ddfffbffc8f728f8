package client

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

// Job is a sheet on its way into a registry.
type Job struct {
	// Notes are what the reader of the sheet has to say about it.
	Notes []string

	sheet *sheet.Sheet
	shop  *pb.Shop
	rows  []sheet.Row
}

// ReadSheet reads an inventory sheet from a file. What override says of the
// shop wins over what the sheet says. Prices that name no currency are in the
// one given, and opts say more on how to read it. It returns ErrNoShop if neither
// names the shop.
func ReadSheet(path string, override *pb.Shop, currency string, opts ...sheet.Option) (*Job, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	s, err := sheet.Read(path, file, append(opts, sheet.Currency(currency))...)
	if err != nil {
		return nil, err
	}
	shop := new(pb.Shop)
	if s.Shop != nil {
		shop = s.Shop
	}
	proto.Merge(shop, override)
	if shop.GetTitle() == "" {
		return nil, ErrNoShop
	}
	return &Job{sheet: s, shop: shop, rows: slices.Clone(s.Lots), Notes: notes(s)}, nil
}

// notes is what a reader of a sheet should know: what was not understood, and
// what was made up.
func notes(s *sheet.Sheet) []string {
	all := append([]string(nil), s.Notes...)
	if len(s.Unknown) > 0 {
		all = append(all, "columns that are not known and were left out: "+strings.Join(s.Unknown, ", "))
	}
	for _, r := range s.Lots {
		for _, n := range r.Notes {
			all = append(all, r.Where()+": "+n)
		}
		if r.TagMade {
			all = append(all, fmt.Sprintf("%s has no tag and is called %s: write that on the masking tape", r.Where(), r.Lot.GetTag()))
		}
	}
	return all
}

// Draft makes the new lots of the job drafts.
func (j *Job) Draft() {
	for _, r := range j.rows {
		r.Lot.State = pb.LotState_LOT_STATE_DRAFT
	}
}

// Lots is every lot that the sheet's reader found right.
func (j *Job) Lots() []*pb.Lot {
	lots := make([]*pb.Lot, len(j.rows))
	for i, r := range j.rows {
		lots[i] = r.Lot
	}
	return lots
}

// Row is the row of a lot in the sheet, as a person counts.
func (j *Job) Row(lot int) int { return j.rows[lot].Number }

// Rejected is every row that did not go in.
func (j *Job) Rejected() []sheet.BadRow { return j.sheet.Bad }

// SaveRejected writes those rows to a file, as a sheet of their own. A file that
// is there and says something else may hold somebody's corrections: it is kept
// under the name returned.
func (j *Job) SaveRejected(path string) (kept string, err error) {
	var rows bytes.Buffer
	if err := sheet.WriteRejected(&rows, j.sheet); err != nil {
		return "", err
	}
	before, err := os.ReadFile(path)
	switch {
	case err == nil && bytes.Equal(before, rows.Bytes()):
		return "", nil
	case err == nil:
		kept = path + ".before"
		if err := os.Rename(path, kept); err != nil {
			return "", err
		}
	case !errors.Is(err, fs.ErrNotExist):
		return "", err
	}
	return kept, os.WriteFile(path, rows.Bytes(), 0o644)
}

// RejectedPath is where the rejected rows of a sheet are written: beside it.
func RejectedPath(path string) string {
	return strings.TrimSuffix(path, filepath.Ext(path)) + ".rejected.csv"
}

// PostSheet posts a job as Post does. Rows that the registry refuses join the
// rejected.
func (c *Client) PostSheet(ctx context.Context, j *Job, progress func(done int)) (*PostReport, error) {
	report, err := c.Post(ctx, j.shop, j.Lots(), progress)
	if err != nil {
		return nil, err
	}
	for _, l := range report.Lots {
		if l.Outcome != Refused {
			continue
		}
		var problems []sheet.Problem
		for _, p := range l.Problems {
			problems = append(problems, sheet.Problem{Column: keyOf(p.Field), Message: p.Message})
		}
		j.sheet.Refuse(j.rows[l.Index], problems)
	}
	return report, nil
}

// keyOf is the key or column of a sheet from which a field of a lot was read:
// cases for metal_type.cases, width for size.width_mm.
func keyOf(field string) string {
	top, rest, _ := strings.Cut(field, ".")
	switch top {
	case "size_as_written":
		return "size"
	case "parts":
		return "missing"
	case "size", "press", "metal_type", "wood_type", "cuts", "general":
	default:
		return top
	}
	key, _, _ := strings.Cut(rest, ".")
	for _, unit := range []string{"_mm", "_mm2", "_kg"} {
		key = strings.TrimSuffix(key, unit)
	}
	if key == "" {
		return top
	}
	return key
}
