package search

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"github.com/blevesearch/bleve/v2/document"
	bleve "github.com/blevesearch/bleve_index_api"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// layoutVersion is part of the name of an index: raise it with every change of
// how facts are written into documents, and indexes are rebuilt.
const layoutVersion = 4

// The fields of a document: the words with their levels, what only ranks, what
// only phrases ask for, a column each, when it was posted, and one for all that a lot simply is.
const (
	wordField   = "words"
	kinField    = "kin"
	pairsField  = "pairs"
	besideField = "beside"
	postedField = "posted"
	isField     = "is"
)

var columnFields = [columnCount]string{"town", "mass", "price", "press"}

// endOfWord stands between a word and its level, and in no word.
const endOfWord = "\x00"

// wordTerm files a word under its level.
func wordTerm(word string, l level) string { return word + endOfWord + string([]byte{byte(l)}) }

// Terms of isField begin with a letter that says of what they tell.
func kindTerm(k pb.Kind) string      { return "k" + strconv.Itoa(int(k)) }
func classTerm(c pb.Class) string    { return "c" + strconv.Itoa(int(c)) }
func stateTerm(s pb.LotState) string { return "s" + strconv.Itoa(int(s)) }
func shopTerm(shop string) string    { return "h" + shop }
func regionTerm(r string) string     { return "r" + r }
func cellTerm(cell string) string    { return "@" + cell }

// signature names how an index is made. Whatever would make the same lot into
// another document, or have it read otherwise, changes it.
func signature() string {
	sum := sha256.Sum256([]byte(strings.Join([]string{
		"layout", strconv.Itoa(layoutVersion), "analysis", strconv.Itoa(analysisVersion),
		"trade", strconv.Itoa(trade.Version), "vocabulary", rulesText(),
	}, "\x00")))
	return hex.EncodeToString(sum[:6])
}

// lotDocument is a lot as the index library takes it: nothing stored but the
// name, no positions, no counts.
type lotDocument struct {
	id     string
	fields []bleve.Field
}

// newDocument makes a lot's document.
func newDocument(lot *Facts) *lotDocument {
	d := &lotDocument{id: lot.name}
	var words []string
	for word, l := range levelsOf(lot.texts) {
		words = append(words, wordTerm(word, l))
	}
	d.add(wordField, words)
	d.add(kinField, lot.texts[groupKin])
	telling := pairsOf(lot.texts)
	d.add(pairsField, telling)
	d.add(besideField, lot.beside(telling))
	d.add(isField, isTerms(lot))
	d.add(postedField, postedTerms(lot.posted))
	for c, written := range lot.columns {
		if written != "" {
			d.add(columnFields[c], []string{written})
		}
	}
	return d
}

// postedTerms writes a change number digit by digit, so that there are few
// different terms: each is the place of a digit to the base of 256, and it.
func postedTerms(change uint64) []string {
	var terms []string
	for place := byte(0); change > 0; place, change = place+1, change>>8 {
		if digit := byte(change); digit > 0 {
			terms = append(terms, string([]byte{place, digit}))
		}
	}
	return terms
}

// postedOf is what a term of postedTerms adds to the change number.
func postedOf(term string) uint64 { return uint64(term[1]) << (8 * term[0]) }

// isTerms lists what a lot is, and the cells it is filed under.
func isTerms(lot *Facts) []string {
	terms := []string{kindTerm(lot.kind), classTerm(lot.class), stateTerm(lot.state), shopTerm(ShopOf(lot.name))}
	for _, region := range lot.regions {
		terms = append(terms, regionTerm(region))
	}
	if town, known := readTown(lot.columns[columnTown]); known {
		for _, cell := range cellsOf(town) {
			terms = append(terms, cellTerm(cell))
		}
	}
	return terms
}

func (d *lotDocument) add(name string, terms []string) {
	if len(terms) > 0 {
		d.fields = append(d.fields, &termsField{name: name, terms: terms})
	}
}

// ID is the lot's resource name.
func (d *lotDocument) ID() string { return d.id }

// Size is about what the document takes in memory, in bytes.
func (d *lotDocument) Size() int { return 1000 + len(d.id) }

// VisitFields shows every field.
func (d *lotDocument) VisitFields(visit bleve.FieldVisitor) {
	for _, f := range d.fields {
		visit(f)
	}
}

// VisitComposite shows nothing: there are no composite fields.
func (d *lotDocument) VisitComposite(bleve.CompositeFieldVisitor) {}

// HasComposite is false.
func (d *lotDocument) HasComposite() bool { return false }

// NumPlainTextBytes is kept for the library's statistics, which are not used.
func (d *lotDocument) NumPlainTextBytes() uint64 { return 0 }

// AddIDField adds the field that the library finds a document by.
func (d *lotDocument) AddIDField() {
	d.fields = append(d.fields, document.NewTextFieldCustom("_id", nil, []byte(d.id), bleve.IndexField|bleve.StoreField, nil))
}

// StoredFieldsBytes is kept for the library's statistics, which are not used.
func (d *lotDocument) StoredFieldsBytes() uint64 { return 0 }

// Indexed is false: it would mark a document whose fields are all left out.
func (d *lotDocument) Indexed() bool { return false }

// termsField is a field whose terms are known already. Only which documents
// have a term is kept: no counts, no lengths.
type termsField struct {
	name   string
	terms  []string
	counts bleve.TokenFrequencies
}

// Name is the field's name.
func (f *termsField) Name() string { return f.name }

// Value is what would be stored: nothing.
func (f *termsField) Value() []byte { return nil }

// ArrayPositions is empty: no field has several values.
func (f *termsField) ArrayPositions() []uint64 { return nil }

// EncodedFieldType says that the field is text.
func (f *termsField) EncodedFieldType() byte { return 't' }

// Analyze lists each term once.
func (f *termsField) Analyze() {
	f.counts = make(bleve.TokenFrequencies, len(f.terms))
	for _, term := range f.terms {
		if f.counts[term] == nil {
			f.counts[term] = &bleve.TokenFreq{Term: []byte(term)}
		}
	}
}

// Options says how the field is kept.
func (f *termsField) Options() bleve.FieldIndexingOptions {
	return bleve.IndexField | bleve.SkipFreqNorm
}

// AnalyzedLength is how many terms there are, repeats counted.
func (f *termsField) AnalyzedLength() int { return len(f.terms) }

// AnalyzedTokenFrequencies is each term with how often it occurs.
func (f *termsField) AnalyzedTokenFrequencies() bleve.TokenFrequencies { return f.counts }

// NumPlainTextBytes is kept for the library's statistics, which are not used.
func (f *termsField) NumPlainTextBytes() uint64 { return 0 }
