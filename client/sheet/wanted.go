package sheet

import (
	"errors"
	"io"

	pb "heirpress/proto/heirpress/v1"
)

// ReadWanted reads a wanted list, which is YAML. Where the file can be read but
// is not right, the error wraps Problems, which are everything wrong with it.
func ReadWanted(name string, r io.Reader, opts ...Option) (*pb.WantedList, error) {
	list, _, err := ReadLodging(name, r, opts...)
	return list, err
}

func readLodging(name string, r io.Reader, opts []Option) (*lodging, error) {
	format, err := FormatOf(name)
	if err != nil {
		return nil, err
	}
	if format != YAML {
		return nil, errors.New("a wanted list is written in YAML: name it .yaml")
	}
	o, err := gather(opts)
	if err != nil {
		return nil, err
	}
	t, err := readText(r)
	if err != nil {
		return nil, err
	}
	top, err := parseYAML(t.body)
	if err != nil {
		return nil, err
	}
	l := &lodging{list: &pb.WantedList{}}
	if err := readFields(l, top, lodgingFields(o.currency)).or(); err != nil {
		return nil, err
	}
	for _, want := range l.list.Wants {
		settleNear(want.GetFilter().GetNear(), l.list)
	}
	return l, nil
}

// WriteWanted writes a wanted list that ReadWanted reads back as an equal one.
// What the registry gives a list itself is left out.
func WriteWanted(w io.Writer, list *pb.WantedList) error {
	return WriteLodging(w, list, nil)
}

// WriteLodging is WriteWanted with where the alerts are to be sent, unless that
// is nil. The webhook's secret is never written.
func WriteLodging(w io.Writer, list *pb.WantedList, d *pb.Delivery) error {
	return encode(w, writeFields(&lodging{list, d}, lodgingFields("USD")))
}

func wantedFields(currency string) []field[*pb.WantedList] {
	return []field[*pb.WantedList]{
		needed(oneLine("title", 200, func(w *pb.WantedList) *string { return &w.Title }), "give the list a name"),
		needed(oneLine("place", 200, func(w *pb.WantedList) *string { return &w.Place }), "name your town, as Columbus, OH"),
		roadField("reach", func(w *pb.WantedList) **float64 { return &w.ReachRoadKm }),
		moneyField("purse", currency, func(w *pb.WantedList) **pb.Money { return &w.Purse }),
		nested("kit", func(w *pb.WantedList) **pb.Kit { return &w.Kit }, kitFields),
		weightsField(),
		needed(wantsField(currency), "list at least one want"),
	}
}

var kitFields = []field[*pb.Kit]{
	countField("people", 0, 1000, func(k *pb.Kit) **int32 { return &k.People }),
	loadField("dolly", func(k *pb.Kit) **float64 { return &k.DollyKg }),
	loadField("pallet_jack", func(k *pb.Kit) **float64 { return &k.PalletJackKg }),
	loadField("hoist", func(k *pb.Kit) **float64 { return &k.HoistKg }),
	loadField("liftgate", func(k *pb.Kit) **float64 { return &k.LiftgateKg }),
	loadField("forklift", func(k *pb.Kit) **float64 { return &k.ForkliftKg }),
	loadField("payload", func(k *pb.Kit) **float64 { return &k.VehiclePayloadKg }),
	lengthField("door", func(k *pb.Kit) **float64 { return &k.DoorWidthMm }),
	countField("steps", 0, 10_000, func(k *pb.Kit) **int32 { return &k.Steps }),
	optional("floor", func(k *pb.Kit) **float64 { return &k.FloorKgPerM2 }, readFloor,
		func(v float64) string { return told(v, floorUnits, readFloor) }),
}

// loadField is a rated load; "none" says that there is no such thing.
func loadField(key string, at func(*pb.Kit) **float64) field[*pb.Kit] {
	return optional(key, at, readMassOrNone, func(v float64) string {
		if v == 0 {
			return "none"
		}
		return told(v, massUnits, readMass)
	})
}

// weightsField is how much each factor of the fit counts.
func weightsField() field[*pb.WantedList] {
	f := nested("weights", func(w *pb.WantedList) **pb.FitWeights { return &w.Weights }, fitWeightFields)
	read := f.read
	f.read = func(l *pb.WantedList, v value) error {
		err := read(l, v)
		w := l.Weights
		if err == nil && w.Distance != nil && w.Rigging != nil && w.Completeness != nil && *w.Distance+*w.Rigging+*w.Completeness == 0 {
			return errors.New("cannot all be 0: at least one factor has to count")
		}
		return err
	}
	return f
}

var fitWeightFields = []field[*pb.FitWeights]{
	numberField("distance", 0, 100, func(w *pb.FitWeights) **float64 { return &w.Distance }),
	numberField("rigging", 0, 100, func(w *pb.FitWeights) **float64 { return &w.Rigging }),
	numberField("completeness", 0, 100, func(w *pb.FitWeights) **float64 { return &w.Completeness }),
}
