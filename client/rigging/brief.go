package rigging

// Brief is a moving brief. Its JSON has SI units in the names of its fields; a
// figure that is not known is absent.
type Brief struct {
	// Title says what is moved.
	Title string `json:"title"`
	// Load is what is moved, and what it weighs.
	Load Load `json:"load"`
	// Riggers says whether what is known calls for professional riggers.
	Riggers Riggers `json:"riggers"`
	// Questions are what to ask first: their answers would change the plan.
	Questions []Question `json:"questions,omitempty"`
	// ByHand is what people lift.
	ByHand ByHand `json:"byHand"`
	// Handling is what is rolled, ramped and slung, heaviest first.
	Handling []Handling `json:"handling,omitempty"`
	// Ends are the ways out and in.
	Ends []EndCheck `json:"ends"`
	// Vehicle is what carries it, and how often it goes.
	Vehicle VehiclePlan `json:"vehicle"`
	// Ways are the drives to the new home; absent where its town is not known.
	Ways []Way `json:"ways,omitempty"`
	// Tipping is how easily things go over, as far as can be guessed.
	Tipping []Tipping `json:"tipping,omitempty"`
	// StripDown is in which order machines come apart, and what to crate.
	StripDown []StripDown `json:"stripDown,omitempty"`
	// Hazards are those of what is in the load.
	Hazards []Hazard `json:"hazards,omitempty"`
	// Cautions are the same for every load.
	Cautions []string `json:"cautions"`
	// NotCovered is what the method says nothing about.
	NotCovered []string `json:"notCovered"`
	// Edition names the edition of the securement rules.
	Edition string `json:"edition"`
}

// Mass is a mass with its grounds.
type Mass struct {
	Known  bool    `json:"known"`
	LowKg  float64 `json:"lowKg,omitempty"`
	HighKg float64 `json:"highKg,omitempty"`
	// Grounds is measured, stated or estimated.
	Grounds string `json:"grounds,omitempty"`
	Basis   string `json:"basis,omitempty"`
}

// Load is what is moved.
type Load struct {
	Items []Item `json:"items"`
	// LowKg and HighKg add up what is known.
	LowKg  float64 `json:"lowKg"`
	HighKg float64 `json:"highKg"`
	// Unweighed are the tags of what nobody knows the weight of: it is not in
	// the sum.
	Unweighed []string `json:"unweighed,omitempty"`
}

// Item is one lot of the load.
type Item struct {
	Tag   string `json:"tag"`
	Title string `json:"title"`
	Kind  string `json:"kind"`
	Class string `json:"class,omitempty"`
	// Count is how many there are in the lot.
	Count int `json:"count"`
	// Weight is that of the whole lot, Piece that of its heaviest single piece
	// after stripping, emptying or boxing.
	Weight Mass `json:"weight"`
	Piece  Mass `json:"piece"`
	// Doubt questions a weight that is far from what its class weighs.
	Doubt string `json:"doubt,omitempty"`
	// Outside is one of the lot as it stands; absent if nothing is known of it.
	Outside *Outside `json:"outside,omitempty"`
	// StandsAlone is true for what goes on the deck by itself, and false for
	// what is boxed and put on pallets.
	StandsAlone bool `json:"standsAlone"`
}

// Outside is the outside of a thing, in millimetres.
type Outside struct {
	WidthMm float64 `json:"widthMm"`
	DepthMm float64 `json:"depthMm"`
	// HeightMm is 0 where nobody has said.
	HeightMm float64 `json:"heightMm,omitempty"`
	// Stated is true for a size that the keeper gave, and false for one that is
	// planned with for the class.
	Stated bool `json:"stated"`
}

// Question is something to ask before the move.
type Question struct {
	Text string `json:"text"`
	// Tags are what it is about, if it is about lots.
	Tags []string `json:"tags,omitempty"`
}
