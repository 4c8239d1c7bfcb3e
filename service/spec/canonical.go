package spec

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// Canonical writes documents as canonical JSON (RFC 8785): members sorted by
// name, no white space, numbers as ECMAScript writes them, absent members left
// out. Equal requests give equal bytes however they were spelled, so that a
// hash of them identifies a question. It is safe for concurrent use.
type Canonical struct {
	fields map[reflect.Type][]canonicalField
}

type canonicalField struct {
	name  string // quoted, with its colon
	index int
	omit  bool
}

// NewCanonical prepares for the types of the given documents and all they
// contain.
func NewCanonical(docs ...any) *Canonical {
	c := &Canonical{fields: map[reflect.Type][]canonicalField{}}
	for _, d := range docs {
		c.learn(reflect.TypeOf(d))
	}
	return c
}

func (c *Canonical) learn(t reflect.Type) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		c.learn(t.Elem())
	case reflect.Struct:
		if _, known := c.fields[t]; known {
			return
		}
		c.fields[t] = nil // a type may contain lists of itself
		var list []canonicalField
		for i := range t.NumField() {
			name, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			if name == "" || name == "-" {
				continue
			}
			list = append(list, canonicalField{name: `"` + name + `":`, index: i, omit: strings.Contains(options, "omit")})
			c.learn(t.Field(i).Type)
		}
		// Names here are ASCII, so sorting bytes is sorting UTF-16 code units.
		slices.SortFunc(list, func(a, b canonicalField) int { return strings.Compare(a.name, b.name) })
		c.fields[t] = list
	}
}

// Append appends doc, a pointer to a document, to dst.
func (c *Canonical) Append(dst []byte, doc any) []byte {
	return c.value(dst, reflect.ValueOf(doc))
}

func (c *Canonical) value(dst []byte, v reflect.Value) []byte {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return append(dst, "null"...)
		}
		return c.value(dst, v.Elem())
	case reflect.Struct:
		dst = append(dst, '{')
		first := true
		for _, f := range c.fields[v.Type()] {
			x := v.Field(f.index)
			if f.omit && x.IsZero() {
				continue
			}
			if !first {
				dst = append(dst, ',')
			}
			first = false
			dst = c.value(append(dst, f.name...), x)
		}
		return append(dst, '}')
	case reflect.Slice:
		dst = append(dst, '[')
		for i := range v.Len() {
			if i > 0 {
				dst = append(dst, ',')
			}
			dst = c.value(dst, v.Index(i))
		}
		return append(dst, ']')
	case reflect.String:
		quoted, err := jsontext.AppendQuote(dst, v.String())
		if err != nil {
			return strconv.AppendQuote(dst, v.String()) // not UTF-8: no such string comes out of JSON
		}
		return quoted
	case reflect.Float64:
		return appendNumber(dst, v.Float())
	case reflect.Int:
		return appendNumber(dst, float64(v.Int())) // a JSON number is a double
	case reflect.Bool:
		return strconv.AppendBool(dst, v.Bool())
	}
	panic("spec: no canonical form for " + v.Type().String()) // a document type of ours, not input
}

// appendNumber writes a double as ECMAScript's Number::toString does (RFC
// 8785, section 3.2.2.3).
func appendNumber(dst []byte, x float64) []byte {
	if x == 0 {
		return append(dst, '0')
	}
	if short, ok := appendDecimal(dst, x); ok {
		return short
	}
	if a := math.Abs(x); a >= 1e-6 && a < 1e21 {
		return strconv.AppendFloat(dst, x, 'f', -1, 64)
	}
	dst = strconv.AppendFloat(dst, x, 'e', -1, 64)
	// Go writes two digits of exponent at least: 1e-07 is 1e-7 in ECMAScript.
	if n := len(dst); dst[n-2] == '0' && (dst[n-3] == '-' || dst[n-3] == '+') {
		dst = append(dst[:n-2], dst[n-1])
	}
	return dst
}
