package worth

import (
	"bytes"
	"encoding/json"
	"math"

	"google.golang.org/protobuf/encoding/protojson"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Money is an amount that prints in the contract's JSON mapping.
type Money struct{ *pb.Money }

// MarshalJSON is the contract's mapping, always spaced the same.
func (m Money) MarshalJSON() ([]byte, error) {
	raw, err := protojson.Marshal(m.Money)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = json.Compact(&b, raw)
	return b.Bytes(), err
}

// float is an amount in units of its currency: for reckoning, not for keeping.
func float(m *pb.Money) float64 { return float64(m.GetUnits()) + float64(m.GetNanos())/1e9 }

// about is an estimate as people say it, to three figures and no finer than one
// unit: "$1,240", "$90".
func about(v float64, currency string) string {
	if v < 0 {
		return "minus " + about(-v, currency)
	}
	if v < 0.5 {
		return "nothing"
	}
	step := 1.0
	if v >= 100 {
		step = math.Pow(10, math.Floor(math.Log10(v))-2)
	}
	return trade.FormatMoney(&pb.Money{CurrencyCode: currency, Units: int64(math.Round(v/step) * step)})
}
