package notice

import pb "heirpress/proto/heirpress/v1"

var classWords = map[pb.WeightClass]string{
	pb.WeightClass_WEIGHT_CLASS_LIGHT:     "light: one person carries each piece",
	pb.WeightClass_WEIGHT_CLASS_CREW:      "two to four people carry each piece",
	pb.WeightClass_WEIGHT_CLASS_WHEELS:    "heavy: it goes on wheels, not by hand",
	pb.WeightClass_WEIGHT_CLASS_MACHINERY: "very heavy: a machine dolly or pallet jack, and a liftgate or ramp; riggers where there are steps",
	pb.WeightClass_WEIGHT_CLASS_RIGGERS:   "work for professional riggers",
}

// WeightClass is what it takes to move a lot, in words.
func WeightClass(c pb.WeightClass) string {
	if words := classWords[c]; words != "" {
		return words
	}
	return "what it takes to move it is not known: ask for the weight"
}
