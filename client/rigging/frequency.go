package rigging

// Spell is for how long lifting goes on without a break of light work.
type Spell int

// The spells of the frequency table.
const (
	UpToOneHour Spell = iota
	UpToTwoHours
	UpToEightHours
)

// frequencyRow is a row of Table 5 of the manual: multipliers by spell, for hands
// below knuckle height (30 in, 75 cm) at the origin, and at or above it.
type frequencyRow struct {
	perMinute float64
	low, high [3]float64
}

// frequencyRows: the first hour's column as seen in print, the rest from memory
// and the same in three public programs. Above the last row the multiplier is 0.
var frequencyRows = []frequencyRow{
	{0.2, [3]float64{1.00, .95, .85}, [3]float64{1.00, .95, .85}},
	{0.5, [3]float64{.97, .92, .81}, [3]float64{.97, .92, .81}},
	{1, [3]float64{.94, .88, .75}, [3]float64{.94, .88, .75}},
	{2, [3]float64{.91, .84, .65}, [3]float64{.91, .84, .65}},
	{3, [3]float64{.88, .79, .55}, [3]float64{.88, .79, .55}},
	{4, [3]float64{.84, .72, .45}, [3]float64{.84, .72, .45}},
	{5, [3]float64{.80, .60, .35}, [3]float64{.80, .60, .35}},
	{6, [3]float64{.75, .50, .27}, [3]float64{.75, .50, .27}},
	{7, [3]float64{.70, .42, .22}, [3]float64{.70, .42, .22}},
	{8, [3]float64{.60, .35, .18}, [3]float64{.60, .35, .18}},
	{9, [3]float64{.52, .30, 0}, [3]float64{.52, .30, .15}},
	{10, [3]float64{.45, .26, 0}, [3]float64{.45, .26, .13}},
	{11, [3]float64{.41, 0, 0}, [3]float64{.41, .23, 0}},
	{12, [3]float64{.37, 0, 0}, [3]float64{.37, .21, 0}},
	{13, [3]float64{0, 0, 0}, [3]float64{.34, 0, 0}},
	{14, [3]float64{0, 0, 0}, [3]float64{.31, 0, 0}},
	{15, [3]float64{0, 0, 0}, [3]float64{.28, 0, 0}},
}

// frequency is the frequency multiplier, linear between the rows of the table;
// less often than the first row counts as the first row.
func frequency(perMinute float64, s Spell, high bool) float64 {
	below := frequencyRows[0]
	if perMinute <= below.perMinute {
		return below.at(s, high)
	}
	for _, row := range frequencyRows[1:] {
		if perMinute <= row.perMinute {
			share := (perMinute - below.perMinute) / (row.perMinute - below.perMinute)
			return below.at(s, high) + share*(row.at(s, high)-below.at(s, high))
		}
		below = row
	}
	return 0
}

func (r frequencyRow) at(s Spell, high bool) float64 {
	if high {
		return r.high[s]
	}
	return r.low[s]
}

// PerMinute spreads lifting that stops and starts over the whole spell, as the
// manual does: 10 a minute for 8 minutes out of 15 are 5.33 a minute. The spell
// must not be shorter than the lifting in it; the error is a *RangeError.
func PerMinute(perMinute, minutes, outOf float64) (float64, error) {
	err := firstError(
		within("lifts a minute", perMinute, 0, 1000),
		within("minutes of lifting", minutes, 0, 480),
		within("minutes in all", outOf, max(minutes, 1), 480),
	)
	if err != nil {
		return 0, err
	}
	return perMinute * minutes / outOf, nil
}
