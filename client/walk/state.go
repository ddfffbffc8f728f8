package walk

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heirpress/client/sheet"
	"heirpress/client/sheet/form"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// The keys of questions that are no key of a sheet.
const (
	keyMore  = "another" // whether there is another lot
	keyWhere = "where"   // where in the shop it stands; written into the description
)

// at is a place in a walk: a question about a lot, 0 for the shop.
type at struct {
	lot int
	key string
}

// answer is what was said there; an empty text was passed over.
type answer struct {
	at
	text string
}

// state is a walk so far. It follows from the entries of the journal alone, and
// from the sheet that the walk goes on from.
type state struct {
	shop *pb.Shop
	lots []*pb.Lot // of the sheet before

	answers []answer
	byPlace map[at]string
	// before is what was taken back, to be offered again.
	before map[at]string
	// check judges the town of a shop; opts are how a sheet is read.
	check func(town string) error
	opts  []sheet.Option
}

// replay follows the entries of a journal.
func (s *state) replay(entries []entry) {
	for _, e := range entries {
		switch {
		case e.Back:
			s.back()
		case e.Key != "":
			s.take(at{e.Lot, e.Key}, e.Text)
		}
	}
}

func (s *state) take(a at, text string) {
	s.answers = append(s.answers, answer{a, text})
	s.byPlace[a] = text
}

// back takes the last answer back, and tells whether there was one.
func (s *state) back() bool {
	if len(s.answers) == 0 {
		return false
	}
	last := s.answers[len(s.answers)-1]
	s.answers = s.answers[:len(s.answers)-1]
	s.before[last.at] = last.text
	delete(s.byPlace, last.at)
	return true
}

// said is what was answered at a place, if it was asked.
func (s *state) said(a at) (string, bool) {
	text, ok := s.byPlace[a]
	return text, ok
}

// lastSaid is the latest answer under a key before a lot.
func (s *state) lastSaid(key string, lot int) string {
	text := ""
	for _, ans := range s.answers {
		if ans.key == key && ans.lot > 0 && ans.lot < lot && ans.text != "" {
			text = ans.text
		}
	}
	return text
}

// question is a question at its place.
type question struct {
	at
	form.Question
	// need is true where it cannot be passed over.
	need bool
	// usual is what an empty line stands for, or "".
	usual string
}

// next is the question to ask; false if everything has been asked. Lots before
// the last that anything was said of are done.
func (s *state) next() (question, bool) {
	if q, open := s.nextOf(0, s.shopQuestions()); open {
		return q, true
	}
	lot := max(1, s.last())
	if q, open := s.nextOf(lot, s.lotQuestions(lot)); open {
		return q, true
	}
	if more, _ := s.said(at{lot, keyMore}); more == "no" {
		return question{}, false
	}
	return s.nextOf(lot+1, s.lotQuestions(lot+1))
}

// last is the number of the last lot that anything was said of.
func (s *state) last() int {
	if len(s.answers) == 0 {
		return 0
	}
	return s.answers[len(s.answers)-1].lot
}

// nextOf is the first of the questions about a lot that was not answered.
func (s *state) nextOf(lot int, questions []form.Question) (question, bool) {
	for _, asked := range questions {
		a := at{lot, asked.Key}
		if _, done := s.said(a); !done {
			return question{at: a, Question: asked, need: slices.Contains(needed, asked.Key), usual: s.usual(a)}, true
		}
	}
	return question{}, false
}

// needed are the keys of questions that cannot be passed over.
var needed = []string{"title", "place", "kind", keyMore}

// shopQuestions are the questions about the shop, but for those that the sheet
// before has answered.
func (s *state) shopQuestions() []form.Question {
	if s.shop != nil {
		return nil
	}
	return form.Shop()
}

var (
	askKind = form.Question{Key: "kind", Ask: "What kind of thing is it?", Example: "metal type",
		Help: "One of: " + strings.Join(kindWords(), ", ") + ". Say other if you do not know."}
	askTag = form.Question{Key: "tag", Ask: "Which number is on its tape?", Example: "17",
		Help: "The tag: write it on masking tape and put it on the thing. Each lot has a tag of its own."}
	askWhere = form.Question{Key: keyWhere, Ask: "Where does it stand?", Example: "back room, cabinet 2, drawer 5",
		Help: "The room, the cabinet, the drawer; no street. An empty line is the same place again, one drawer on."}
	askMore = form.Question{Key: keyMore, Ask: "Is there another lot?", Example: "yes", Help: "yes or no. After no, the sheet is written."}
)

func kindWords() []string {
	var words []string
	for _, k := range trade.Kinds() {
		words = append(words, trade.KindWord(k))
	}
	return words
}

// lotQuestions are the questions about a lot. Those that hang on its kind come
// when that is known.
func (s *state) lotQuestions(lot int) []form.Question {
	said, known := s.said(at{lot, "kind"})
	if !known {
		return []form.Question{askKind}
	}
	kind, err := sheet.SetLot(&pb.Lot{Title: "x"}, "kind", said)
	if err != nil {
		kind.Kind = pb.Kind_KIND_OTHER
	}
	questions := []form.Question{askKind, askTag, askWhere}
	for _, q := range form.Of(kind.GetKind()).Questions {
		if q.Key != "class" || kind.GetClass() == 0 {
			questions = append(questions, q)
		}
	}
	return append(questions, askMore)
}

// usual is what an empty line stands for: what was taken back, or what is
// carried over from the lot before.
func (s *state) usual(a at) string {
	if text, ok := s.before[a]; ok && text != "" {
		return text
	}
	switch a.key {
	case "kind":
		return s.lastSaid("kind", a.lot)
	case keyWhere:
		return countedOn(s.lastSaid(keyWhere, a.lot))
	case "tag":
		return s.freeTag(a.lot)
	case keyMore:
		return "yes"
	}
	return ""
}

var endNumberRE = regexp.MustCompile(`(?i)^(.*?)(\d{1,6})$`)

// drawerRE is a place that goes on to the next drawer.
var drawerRE = regexp.MustCompile(`(?i)(drawer|case|shelf|box|tray|no\.?|#)\s*\d{1,6}$`)

// countedOn is a place with its drawer counted on: "cabinet 2, drawer 6" after
// drawer 5. A place that ends in no drawer stays as it is.
func countedOn(place string) string {
	if !drawerRE.MatchString(place) {
		return place
	}
	return plusOne(place)
}

// plusOne adds one to the number at the end of a text, and keeps its noughts.
func plusOne(text string) string {
	m := endNumberRE.FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	n, err := strconv.Atoi(m[2])
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%s%0*d", m[1], len(m[2]), n+1)
}

// freeTag is the tag after the last one, if that ends in a number.
func (s *state) freeTag(lot int) string {
	tag := s.lastSaid("tag", lot)
	if tag == "" && len(s.lots) > 0 {
		tag = s.lots[len(s.lots)-1].GetTag()
	}
	if tag == "" {
		return "1"
	}
	for tag = plusOne(tag); tag != "" && s.tagTaken(tag, lot); {
		tag = plusOne(tag)
	}
	return tag
}

func (s *state) tagTaken(tag string, lot int) bool {
	for _, l := range s.lots {
		if trade.FoldTag(l.GetTag()) == trade.FoldTag(tag) {
			return true
		}
	}
	for _, ans := range s.answers {
		if ans.key == "tag" && ans.lot != lot && trade.FoldTag(ans.text) == trade.FoldTag(tag) {
			return true
		}
	}
	return false
}

// judge tells what is wrong with an answer, or what to keep of it.
func (s *state) judge(q question, text string) (string, error) {
	switch {
	case q.lot == 0:
		return text, s.judgeShop(q, text)
	case q.key == keyMore:
		return yesOrNo(text)
	case q.key == keyWhere:
		_, err := sheet.SetLot(&pb.Lot{Title: "x"}, "description", text)
		return text, err
	case q.key == "tag" && s.tagTaken(text, q.lot):
		return "", fmt.Errorf("%q is the tag of another lot: give each a tag of its own", text)
	}
	lot, err := s.lot(q.lot)
	if err != nil {
		return "", err
	}
	next, err := sheet.SetLot(lot, q.key, text, s.opts...)
	if err == nil && q.key == "class" && next.GetKind() != lot.GetKind() {
		err = fmt.Errorf("%q is a class of %s: go back to change the kind", text, trade.KindWord(next.GetKind()))
	}
	return text, err
}

func (s *state) judgeShop(q question, text string) error {
	if _, err := sheet.SetShop(&pb.Shop{}, q.key, text); err != nil {
		return err
	}
	if q.key == "place" && s.check != nil {
		return s.check(text)
	}
	return nil
}

func yesOrNo(text string) (string, error) {
	switch strings.ToLower(text) {
	case "yes", "y":
		return "yes", nil
	case "no", "n":
		return "no", nil
	}
	return "", fmt.Errorf("%q is neither yes nor no", text)
}
