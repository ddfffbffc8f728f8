package trade

// The American point is 0.013837 in exactly here. Three "exact" picas are in
// print, and they differ by up to 0.03 %:
//
//	1 pt = 0.013837 in exactly    pica 0.166044 in   (72.27 pt to the inch)
//	83 picas = 35 cm exactly      pica 0.1660184 in  (MacKellar, The American Printer)
//	1 pica = 0.166 in exactly     pica 0.166 in      (American Dictionary of Printing and Bookmaking, 1894)
//
// PicaDefinitions has all three; the program reckons with the first.
const (
	// PointInch is the American point in inches.
	PointInch = 0.013837
	// PointMm is the American point in millimetres.
	PointMm = PointInch * MmPerInch
	// PicaMm is the American pica in millimetres.
	PicaMm = 12 * PointMm
	// DidotPointMm is the traditional Didot point in millimetres: 1157 of them
	// are 1238 points of which 72.27 go to the inch.
	DidotPointMm = 1238.0 / 1157 * MmPerInch / 72.27
	// CiceroMm is 12 Didot points in millimetres.
	CiceroMm = 12 * DidotPointMm
	// DesktopPointMm is the desktop point, 1/72 in, in millimetres.
	DesktopPointMm = MmPerInch / 72
)

// PicaDefinition is one of the picas that are in print as "exact".
type PicaDefinition struct {
	// Rule is what is exact in it.
	Rule string
	// Inch is the pica in inches.
	Inch float64
}

// PicaDefinitions returns the three American picas, the program's own first.
func PicaDefinitions() []PicaDefinition {
	return []PicaDefinition{
		{"1 point is 0.013837 in", 12 * PointInch},
		{"83 picas are 35 cm", 350.0 / 83 / MmPerInch},
		{"1 pica is 0.166 in", 0.166},
	}
}

// PointDefinition is a named point with its length.
type PointDefinition struct {
	// Name is what it is called.
	Name string
	// LowMm and HighMm are its length in millimetres; they differ where the
	// sources do.
	LowMm, HighMm float64
}

// PointDefinitions returns the points that a continental or an old shop may be
// cast on, besides the three that the contract knows. They are for reading a
// caliper, never for converting silently.
func PointDefinitions() []PointDefinition {
	return []PointDefinition{
		{"American", PointMm, PointMm},
		{"Didot, traditional", DidotPointMm, DidotPointMm},
		{"Didot, 2,660 to the metre", 1000.0 / 2660, 1000.0 / 2660},
		{"Didot, metric", 0.375, 0.375},
		{"Mediaan (Belgium)", 0.01374 * MmPerInch, 0.01374 * MmPerInch},
		// From memory (Updike, De Vinne): not seen.
		{"Fournier", 0.345, 0.349},
		{"desktop", DesktopPointMm, DesktopPointMm},
	}
}
