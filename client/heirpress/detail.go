package main

import (
	"fmt"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// detail prints what only lots of this kind have.
func (a *app) detail(l *pb.Lot) {
	switch d := l.GetDetail().(type) {
	case *pb.Lot_Press:
		a.press(d.Press)
	case *pb.Lot_MetalType:
		a.metalType(l, d.MetalType)
	case *pb.Lot_WoodType:
		a.fount(l, d.WoodType)
		a.number("pieces", d.WoodType.Pieces)
		a.length("height to paper", d.WoodType.HeightToPaperMm)
	case *pb.Lot_Cuts:
		a.line("subject", d.Cuts.GetSubject())
		a.line("made of", d.Cuts.GetMaterial())
		a.rectangle("face", d.Cuts.GetFace())
		a.number("pieces", d.Cuts.Pieces)
	case *pb.Lot_General:
		a.general(d.General)
	}
}

func (a *app) press(d *pb.PressDetail) {
	a.rectangle("chase, inside", d.GetChase())
	a.rectangle("bed", d.GetBed())
	a.rectangle("platen", d.GetPlaten())
	a.rectangle("largest sheet", d.GetSheet())
	a.line("drive", trade.ValueWord("DRIVE_", d.GetDrive()))
	a.line("supply", trade.ValueWord("SUPPLY_", d.GetSupply()))
	a.mass("heaviest piece", d.HeaviestPieceKg)
}

func (a *app) metalType(l *pb.Lot, d *pb.MetalTypeDetail) {
	a.fount(l, d)
	a.number("pieces", d.Pieces)
	if d.Cases != nil {
		a.line("cases", strconv.FormatFloat(d.GetCases(), 'f', -1, 64))
	}
	if d.AreaMm2 != nil {
		a.line("area", a.areaText(d.GetAreaMm2()))
	}
	a.line("metal", trade.ValueWord("ALLOY_", d.GetAlloy()))
	a.length("height to paper", d.HeightToPaperMm)
}

// A fount is what metal type and wood type have in common.
type fount interface {
	GetSize() *pb.TypeSize
	GetFace() string
	GetScheme() string
	GetBill() []*pb.SortCount
}

func (a *app) fount(l *pb.Lot, f fount) {
	if f.GetSize() != nil {
		if body := trade.FormatTypeSize(f.GetSize()); !sameWords(body, l.GetSizeAsWritten()) {
			a.line("body", body)
		}
	}
	a.line("face", f.GetFace())
	a.line("scheme", f.GetScheme())
	var counted []string
	for _, s := range f.GetBill() {
		counted = append(counted, fmt.Sprintf("%s %d", s.GetSort(), s.GetCount()))
	}
	a.line("counted", strings.Join(counted, ", "))
}

// sameWords tells whether two texts differ in nothing but their spaces.
func sameWords(a, b string) bool {
	return strings.EqualFold(strings.ReplaceAll(a, " ", ""), strings.ReplaceAll(b, " ", ""))
}

func (a *app) general(d *pb.GeneralDetail) {
	a.line("made of", d.GetMaterial())
	a.number("cases", d.Cases)
	a.rectangle("working size", d.GetWorkingSize())
	a.length("thickness", d.ThicknessMm)
	a.line("supply", trade.ValueWord("SUPPLY_", d.GetSupply()))
	a.mass("heaviest piece", d.HeaviestPieceKg)
}

func (a *app) number(name string, n *int32) {
	if n != nil {
		a.line(name, grouped(int(*n)))
	}
}

func (a *app) rectangle(name string, r *pb.Rectangle) {
	if r != nil {
		a.line(name, trade.FormatRectangle(r, a.unitSystem()))
	}
}

func (a *app) length(name string, mm *float64) {
	if mm != nil {
		a.line(name, trade.FormatLength(*mm, a.unitSystem()))
	}
}

func (a *app) mass(name string, kg *float64) {
	if kg != nil {
		a.line(name, trade.FormatMass(*kg, a.unitSystem()))
	}
}

// areaText is an area stood on a galley.
func (a *app) areaText(mm2 float64) string {
	if a.unitSystem() == trade.Metric {
		return fmt.Sprintf("%.0f square cm", mm2/100)
	}
	return fmt.Sprintf("%.0f square in", mm2/trade.MmPerInch/trade.MmPerInch)
}
