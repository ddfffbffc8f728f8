package search

import (
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// paper finds the sizes of paper that people ask for by name.
const paper = `(?:sr)?a[0-8]`

// papers are the sheets of ISO 216 (A) and ISO 217 (SRA), in millimetres.
var papers = map[string][2]float64{
	"a0": {841, 1189}, "a1": {594, 841}, "a2": {420, 594}, "a3": {297, 420}, "a4": {210, 297}, "a5": {148, 210}, "a6": {105, 148},
	"a7": {74, 105}, "a8": {52, 74}, "sra0": {900, 1280}, "sra1": {640, 900}, "sra2": {450, 640}, "sra3": {320, 450}, "sra4": {225, 320},
}

// paperSize is the sheet of a size of paper, or nil.
func paperSize(name string) *pb.Rectangle {
	sides, known := papers[strings.ToLower(name)]
	if !known {
		return nil
	}
	return &pb.Rectangle{WidthMm: sides[0], HeightMm: sides[1]}
}
