package sheet

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// The functions here make fields: each takes the key and where the value stands
// in the message.

// scalar makes a field of a single text; write returns "" for nothing.
func scalar[M any](key string, read func(M, string) error, write func(M) string) field[M] {
	return field[M]{
		key: key,
		read: func(m M, v value) error {
			s, err := v.one()
			if err != nil {
				return err
			}
			return read(m, s)
		},
		write: func(m M) *yaml.Node {
			if s := write(m); s != "" {
				return bareNode(s)
			}
			return nil
		},
	}
}

// optional makes a field of a figure that may be absent.
func optional[M, T any](key string, at func(M) **T, read func(string) (T, error), write func(T) string) field[M] {
	return scalar(key,
		func(m M, s string) error {
			v, err := read(s)
			*at(m) = &v
			return err
		},
		func(m M) string {
			if v := *at(m); v != nil {
				return write(*v)
			}
			return ""
		})
}

// message makes a field of a small message that is written as one text.
func message[M, T any](key string, at func(M) **T, read func(string) (*T, error), write func(*T) string) field[M] {
	return scalar(key,
		func(m M, s string) (err error) {
			*at(m), err = read(s)
			return err
		},
		func(m M) string {
			if v := *at(m); v != nil {
				return write(v)
			}
			return ""
		})
}

// oneLine makes a field of a text of one line.
func oneLine[M any](key string, limit int, at func(M) *string) field[M] {
	return textField(key, limit, at, line)
}

// lines makes a field of a text that may have several lines.
func lines[M any](key string, limit int, at func(M) *string) field[M] {
	return textField(key, limit, at, strings.TrimSpace)
}

func textField[M any](key string, limit int, at func(M) *string, clean func(string) string) field[M] {
	f := scalar(key, func(m M, s string) error {
		*at(m) = clean(s)
		return within(*at(m), limit)
	}, nil)
	f.write = func(m M) *yaml.Node {
		if *at(m) == "" {
			return nil
		}
		return textNode(*at(m))
	}
	return f
}

// within refuses a text that is longer than the contract lets it be.
func within(s string, limit int) error {
	if n := utf8.RuneCountInString(s); n > limit {
		return fmt.Errorf("is %d characters long: at most %d will do", n, limit)
	}
	return nil
}

func massField[M any](key string, at func(M) **float64) field[M] {
	return optional(key, at, readMass, func(v float64) string { return told(v, massUnits, readMass) })
}

func lengthField[M any](key string, at func(M) **float64) field[M] {
	return optional(key, at, readLength, func(v float64) string { return told(v, lengthUnits, readLength) })
}

func roadField[M any](key string, at func(M) **float64) field[M] {
	return optional(key, at, trade.ParseRoadKm, func(v float64) string { return told(v, roadUnits, trade.ParseRoadKm) })
}

func numberField[M any](key string, low, high float64, at func(M) **float64) field[M] {
	return optional(key, at, func(s string) (float64, error) { return readNumber(s, low, high) },
		func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) })
}

func countField[M any](key string, low, high int32, at func(M) **int32) field[M] {
	return optional(key, at, func(s string) (int32, error) { return readCount(s, low, high) },
		func(n int32) string { return fmt.Sprint(n) })
}

func rectangleField[M any](key string, at func(M) **pb.Rectangle) field[M] {
	return message(key, at, trade.ParseRectangle, rectangleText)
}

func typeSizeField[M any](key string, at func(M) **pb.TypeSize) field[M] {
	return message(key, at, trade.ParseTypeSize, typeSizeText)
}

func dateField[M any](key string, at func(M) **pb.Date) field[M] {
	return message(key, at, trade.ParseDate, dateText)
}

func moneyField[M any](key, currency string, at func(M) **pb.Money) field[M] {
	return message(key, at, func(s string) (*pb.Money, error) { return trade.ParseMoney(s, currency) }, moneyText)
}

// named is a value of an enum with the word for it.
type named[E any] struct {
	is   E
	word string
}

// wordField makes a field of an enum; its zero value is not said.
func wordField[M any, E ~int32](key string, words []named[E], at func(M) *E) field[M] {
	return scalar(key, func(m M, s string) error {
		for _, w := range words {
			if fold(w.word) == fold(s) {
				*at(m) = w.is
				return nil
			}
		}
		return fmt.Errorf("%q is not one of %s", s, joinWords(words))
	}, func(m M) string {
		for _, w := range words {
			if w.is == *at(m) {
				return w.word
			}
		}
		return ""
	})
}

func joinWords[E any](words []named[E]) string {
	var all []string
	for _, w := range words {
		all = append(all, w.word)
	}
	return strings.Join(all, ", ")
}

// yesField makes a field that is written only when it is yes.
func yesField[M any](key string, at func(M) *bool) field[M] {
	return scalar(key, func(m M, s string) (err error) {
		*at(m), err = readYes(s)
		return err
	}, func(m M) string {
		if *at(m) {
			return "yes"
		}
		return ""
	})
}

// partsListField makes a field of a list of parts; a single text may name
// several, as "rollers, chase".
func partsListField[M any](key string, at func(M) *[]string) field[M] {
	return field[M]{
		key: key,
		read: func(m M, v value) (err error) {
			if v.scalar() {
				*at(m) = trade.ParseParts(v.text).GetMissing()
				return nil
			}
			*at(m), err = v.list()
			return err
		},
		write: func(m M) *yaml.Node {
			if len(*at(m)) == 0 {
				return nil
			}
			return listNode(*at(m))
		},
	}
}

// nested makes a field of a message with keys of its own.
func nested[M, T any](key string, at func(M) **T, fields []field[*T]) field[M] {
	return field[M]{
		key: key,
		read: func(m M, v value) error {
			*at(m) = new(T)
			return readFields(*at(m), v.node, fields).or()
		},
		write: func(m M) *yaml.Node {
			if *at(m) == nil {
				return nil
			}
			return writeFields(*at(m), fields)
		},
	}
}

// inside makes a field of a message within M, which is made when it is first
// needed and never by writing, out of a field of that message.
func inside[M, D any](get func(M) *D, set func(M, *D), f field[*D]) field[M] {
	return field[M]{
		key: f.key, need: f.need,
		read: func(m M, v value) error {
			if get(m) == nil {
				set(m, new(D))
			}
			return f.read(get(m), v)
		},
		write: func(m M) *yaml.Node {
			if get(m) == nil {
				return nil
			}
			return f.write(get(m))
		},
	}
}

// allInside does the same for a table of fields.
func allInside[M, D any](get func(M) *D, set func(M, *D), fields []field[*D]) []field[M] {
	all := make([]field[M], len(fields))
	for i, f := range fields {
		all[i] = inside(get, set, f)
	}
	return all
}
