package handover

import (
	"fmt"
	"strings"

	"heirpress/client/rigging"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// Input is what a record is made from.
type Input struct {
	// Shop is where the lots are from.
	Shop *pb.Shop
	// Lots are what is handed over, each once.
	Lots []*pb.Lot
	// Giver and Receiver are the two sides; empty for a line to write on.
	Giver, Receiver string
	// SeenAt is where the material may be seen again; empty for a line.
	SeenAt string
	// Day is the day of the hand-over; empty for a line.
	Day string
	// Units are what weights are told in.
	Units trade.Units
}

// Record is the paper.
type Record struct {
	Shop       string `json:"shop"`
	Town       string `json:"town,omitempty"`
	Collection string `json:"collection,omitempty"`
	Giver      string `json:"giver,omitempty"`
	Receiver   string `json:"receiver,omitempty"`
	SeenAt     string `json:"seenAt,omitempty"`
	Day        string `json:"day,omitempty"`
	// Things are the lots.
	Things []Thing `json:"things"`
	// Terms are what the two sides agree on; a blank in one is theirs to fill.
	Terms []string `json:"terms"`
	// Hazards are those of the lots, and Riggers the reasons to call professional
	// riggers.
	Hazards []rigging.Hazard `json:"hazards,omitempty"`
	Riggers []string         `json:"riggers,omitempty"`
	// NotAdvice says what the paper is not.
	NotAdvice []string `json:"notAdvice"`
}

// Thing is one lot.
type Thing struct {
	Tag   string `json:"tag"`
	Title string `json:"title"`
	// Facts are what is known of it, each with its name.
	Facts []Fact `json:"facts"`
}

// Fact is one thing that is known, or that nobody has said.
type Fact struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// blank is a line to write on.
const blank = "______________________________"

// Make writes the record.
func Make(in Input) *Record {
	brief := rigging.Plan(in.Lots, nil)
	r := &Record{
		Shop: in.Shop.GetTitle(), Town: in.Shop.GetTown().GetLabel(), Collection: in.Shop.GetCollectionName(),
		Giver: in.Giver, Receiver: in.Receiver, SeenAt: in.SeenAt, Day: in.Day,
		Hazards: brief.Hazards, NotAdvice: notAdvice(),
	}
	for _, l := range in.Lots {
		r.Things = append(r.Things, thing(l, in.Units))
	}
	for _, reason := range brief.Riggers.Reasons {
		r.Riggers = append(r.Riggers, rigging.ReasonWords(reason, in.Units))
	}
	r.Terms = r.terms()
	return r
}

func thing(l *pb.Lot, u trade.Units) Thing {
	t := Thing{Tag: l.GetTag(), Title: l.GetTitle()}
	t.say("kind", joined(trade.KindWord(l.GetKind()), trade.ClassWord(l.GetClass())))
	t.say("make", strings.TrimSpace(l.GetMake()+" "+l.GetModel()))
	t.say("serial", l.GetSerial())
	t.say("size", l.GetSizeAsWritten())
	if l.Count != nil {
		t.say("count", fmt.Sprint(l.GetCount()))
	}
	t.say("weight", strings.TrimPrefix(notice.Weight(l, u), "weight "))
	t.say("condition", orUnsaid(notice.Phrases(trade.ConditionWord(l.GetCondition()), l.GetConditionNote())))
	t.say("there", strings.Join(l.GetParts().GetOnHand(), ", "))
	t.say("missing", missing(l.GetParts()))
	t.say("paid", paid(l))
	return t
}

func (t *Thing) say(name, text string) {
	if text != "" {
		t.Facts = append(t.Facts, Fact{name, text})
	}
}

func joined(kind, class string) string {
	if class == "" {
		return kind
	}
	return kind + ", " + class
}

const unsaid = "nobody has said"

func orUnsaid(text string) string {
	if text == "" {
		return unsaid
	}
	return text
}

// missing is what is known to be missing: nothing only where somebody has looked.
func missing(p *pb.Parts) string {
	switch {
	case len(p.GetMissing()) > 0 && p.GetRestComplete():
		return strings.Join(p.GetMissing(), ", ") + "; the rest is there"
	case len(p.GetMissing()) > 0:
		return strings.Join(p.GetMissing(), ", ") + "; of the rest " + unsaid
	case p.GetRestComplete():
		return "nothing"
	}
	return unsaid
}

// paid is what was paid, if that was said; what was asked is nobody's business here.
func paid(l *pb.Lot) string {
	switch p := l.GetPricePaid(); {
	case p == nil:
		return blank
	case p.GetUnits() == 0 && p.GetNanos() == 0:
		return "nothing: it is a gift"
	default:
		return trade.FormatMoney(p)
	}
}

// terms are what a bill of sale or a deed of gift of such things mostly says:
// common practice, without a source.
func (r *Record) terms() []string {
	all := []string{
		"The giver says that they may give or sell these things, as owner, or for: " + blank,
		"Sold [ ]  given [ ]  lent [ ], as they are and where they stand, seen by the receiver on: " + blank,
		"Nobody warrants that anything works. What is said above is what the giver knows.",
		"The things become the receiver's, with their risk, when: " + blank,
		"Taking down, riggers, loading and carriage are paid and answered for by: " + blank,
		"They are gone from the room by: " + blank,
	}
	if r.Collection != "" {
		all = append(all, fmt.Sprintf("The receiver will keep them known as %q, say so where they are shown or printed from, and pass the name on with them.", r.Collection))
	}
	if r.SeenAt == "" {
		return append(all, "They may be seen again at: "+blank)
	}
	return append(all, "They may be seen again at: "+r.SeenAt)
}

func notAdvice() []string {
	return []string{
		"This is a record and no legal advice. It may not be enough where you are: for an estate, a gift to a charity, a loan, a sale abroad or anything of great worth, ask a lawyer or a tax adviser before you sign.",
		"Make two, sign both, and keep one each.",
	}
}
