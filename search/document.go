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
const layoutVersion = 2

// The fields of a document: one for each group of text, one for each column,
// and one for all that a lot simply is.
var (
	groupFields  = [groupCount]string{"name", "tag", "detail", "what", "abroad", "shop", "notes", "kin", "pairs"}
	columnFields = [columnCount]string{"town", "mass", "price", "press", "posted"}
)

const isField = "is"

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
// name, no positions, and doc values for the columns.
type lotDocument struct {
	id     string
	fields []bleve.Field
}

// newDocument makes a lot's document.
func newDocument(lot *Facts) *lotDocument {
	d := &lotDocument{id: lot.name}
	for g, tokens := range lot.texts {
		d.add(groupFields[g], bleve.IndexField, tokens)
	}
	d.add(isField, bleve.IndexField|bleve.SkipFreqNorm, isTerms(lot))
	for c, written := range lot.columns {
		if written != "" {
			d.add(columnFields[c], bleve.IndexField|bleve.SkipFreqNorm|bleve.DocValues, []string{written})
		}
	}
	return d
}

// isTerms lists what a lot is, and the cells it is filed under.
func isTerms(lot *Facts) []string {
	terms := []string{kindTerm(lot.kind), classTerm(lot.class), stateTerm(lot.state), shopTerm(shop(lot.name))}
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

func (d *lotDocument) add(name string, options bleve.FieldIndexingOptions, terms []string) {
	if len(terms) > 0 {
		d.fields = append(d.fields, &termsField{name: name, options: options, terms: terms})
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

// termsField is a field whose terms are known already.
type termsField struct {
	name    string
	options bleve.FieldIndexingOptions
	terms   []string
	counts  bleve.TokenFrequencies
}

// Name is the field's name.
func (f *termsField) Name() string { return f.name }

// Value is what would be stored: nothing.
func (f *termsField) Value() []byte { return nil }

// ArrayPositions is empty: no field has several values.
func (f *termsField) ArrayPositions() []uint64 { return nil }

// EncodedFieldType says that the field is text.
func (f *termsField) EncodedFieldType() byte { return 't' }

// Analyze counts the terms.
func (f *termsField) Analyze() {
	f.counts = make(bleve.TokenFrequencies, len(f.terms))
	for _, term := range f.terms {
		count := f.counts[term]
		if count == nil {
			count = &bleve.TokenFreq{Term: []byte(term)}
			f.counts[term] = count
		}
		if !f.options.SkipFreqNorm() {
			count.SetFrequency(count.Frequency() + 1)
		}
	}
}

// Options says how the field is kept.
func (f *termsField) Options() bleve.FieldIndexingOptions { return f.options }

// AnalyzedLength is how many terms there are, repeats counted.
func (f *termsField) AnalyzedLength() int { return len(f.terms) }

// AnalyzedTokenFrequencies is each term with how often it occurs.
func (f *termsField) AnalyzedTokenFrequencies() bleve.TokenFrequencies { return f.counts }

// NumPlainTextBytes is kept for the library's statistics, which are not used.
func (f *termsField) NumPlainTextBytes() uint64 { return 0 }
