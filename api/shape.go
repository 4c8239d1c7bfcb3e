package api

import (
	"encoding"
	"reflect"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/service/spec"
)

// form is what kind of JSON value a Go type is written as.
type form int

const (
	opaque  form = iota // a type that reads itself
	object              // a struct
	mapping             // an object with names that are not fixed
	listing             // a list
	whole               // a whole number
	number              // any number
	text                // a string
	truth               // true or false
)

// shape is what the collector knows of a Go type.
type shape struct {
	form   form
	typ    reflect.Type // with pointers removed
	fields map[string]*field
	names  []string // of the fields, in order
	elem   *shape   // of a list or a mapping
	most   int      // the most entries of a list, 0 where there is no limit
	words  []string // the legal values of a string, where there are few
	date   bool     // a string that is a date
}

// field is one field of an object.
type field struct {
	shape    *shape
	quoted   []byte // the name as it stands in a document, with the colon
	required bool
}

// root is the shape of a whole document.
type root struct {
	shape *shape
	homes map[string][]string // for the name of a field: the objects that have it
}

func rootOf(t reflect.Type) *root {
	r := &root{shape: shapeOf(t, "", map[reflect.Type]*shape{}), homes: map[string][]string{}}
	r.settle(r.shape, "", map[*shape]bool{})
	return r
}

// settle notes in which objects a name is at home.
func (r *root) settle(s *shape, home string, done map[*shape]bool) {
	if s.elem != nil {
		r.settle(s.elem, home, done)
		return
	}
	if done[s] {
		return
	}
	done[s] = true
	for _, name := range s.names {
		if home != "" {
			r.homes[name] = append(r.homes[name], home)
		}
		r.settle(s.fields[name].shape, name, done)
	}
}

// shapeOf builds the shape of a type; rules is the validator tag of the field
// that has it. Structs are remembered, so that a type may hold itself.
func shapeOf(t reflect.Type, rules string, known map[reflect.Type]*shape) *shape {
	for t.Kind() == reflect.Pointer && !readsItself(t) {
		t = t.Elem()
	}
	s := &shape{typ: t}
	if readsItself(t) || readsItself(reflect.PointerTo(t)) {
		return s
	}
	switch t.Kind() {
	case reflect.Struct:
		if k := known[t]; k != nil {
			return k
		}
		known[t] = s
		s.form, s.fields = object, map[string]*field{}
		s.addFields(t, known)
	case reflect.Map:
		s.form, s.elem = mapping, shapeOf(t.Elem(), "", known)
	case reflect.Slice, reflect.Array:
		s.form, s.elem = listing, shapeOf(t.Elem(), "", known)
		s.most = limitOf(rules)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		s.form = whole
	case reflect.Float32, reflect.Float64:
		s.form = number
	case reflect.String:
		s.form = text
		if e, ok := reflect.Zero(t).Interface().(spec.Enum); ok {
			s.words = e.Enum()
		}
		s.date = strings.Contains(rules, "datetime=")
	case reflect.Bool:
		s.form = truth
	}
	return s
}

func (s *shape) addFields(t reflect.Type, known map[reflect.Type]*shape) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-":
			continue
		case f.Anonymous && name == "":
			// An embedded struct's fields are those of the struct it is in.
			e := f.Type
			if e.Kind() == reflect.Pointer {
				e = e.Elem()
			}
			s.addFields(e, known)
			continue
		case !f.IsExported():
			continue
		case name == "":
			name = f.Name
		}
		quoted, err := jsontext.AppendQuote(nil, name)
		if err != nil {
			panic("api: the name of a field is not UTF-8: " + t.Name() + "." + f.Name)
		}
		rules := f.Tag.Get("validate")
		s.names = append(s.names, name)
		s.fields[name] = &field{
			shape:    shapeOf(f.Type, rules, known),
			quoted:   append(quoted, ':'),
			required: strings.Contains(rules, "required"),
		}
	}
}

// limitOf reads the most entries of a list from its rules, which end where
// those of its entries begin.
func limitOf(rules string) int {
	rules, _, _ = strings.Cut(rules, "dive")
	for rule := range strings.SplitSeq(rules, ",") {
		if n, ok := strings.CutPrefix(rule, "max="); ok {
			if most, err := strconv.Atoi(n); err == nil {
				return most
			}
		}
	}
	return 0
}

func readsItself(t reflect.Type) bool {
	return t.Implements(reflect.TypeFor[json.UnmarshalerFrom]()) ||
		t.Implements(reflect.TypeFor[json.Unmarshaler]()) ||
		t.Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}
