package main

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// role says on which side of an operation a type stands.
type role int

const (
	asked    role = iota // in a request, which is closed: unknown members are refused
	answered             // in an answer, which is open: it may gain members
)

// walker turns Go types into schemas. Structs and enumerations become
// components, each once.
type walker struct {
	comments comments
	schemas  openapi3.Schemas
	types    map[string]reflect.Type // by component name
	used     map[string]map[role]bool
}

func newWalker(c comments) *walker {
	return &walker{comments: c, schemas: openapi3.Schemas{}, types: map[string]reflect.Type{}, used: map[string]map[role]bool{}}
}

// body is the schema of a whole body.
func (w *walker) body(t reflect.Type, r role) *openapi3.SchemaRef {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return w.schemaOf(t, place{at: keyOf(t), role: r})
}

// place is where a type stands: the tags of the field that has it.
type place struct {
	at    string // for messages
	name  string // of the member
	tag   reflect.StructTag
	rules string // validator tags that hold here
	role  role
}

func (w *walker) schemaOf(t reflect.Type, p place) *openapi3.SchemaRef {
	if t.Kind() == reflect.Pointer {
		return w.schemaOf(t.Elem(), p)
	}
	s := &openapi3.Schema{}
	forEntries := ""
	if p.tag.Get("union") == "" {
		forEntries = applyRules(s, t, p.rules, p.at)
	}
	switch t.Kind() {
	case reflect.Struct:
		return w.component(t, p, w.object)
	case reflect.Slice:
		s.Type = &openapi3.Types{"array"}
		p.rules = forEntries
		s.Items = w.schemaOf(t.Elem(), p)
	case reflect.String:
		if e, is := reflect.Zero(t).Interface().(spec.Enum); is {
			return w.component(t, p, func(t reflect.Type, _ place) *openapi3.Schema { return w.enum(t, e.Enum()) })
		}
		s.Type, s.Pattern = &openapi3.Types{"string"}, p.tag.Get("pattern")
		if f := p.tag.Get("format"); f != "" {
			s.Format = f
		}
		w.knownValues(s, p)
	case reflect.Int, reflect.Float64:
		w.number(s, t.Kind(), p)
	case reflect.Bool:
		s.Type = &openapi3.Types{"boolean"}
	case reflect.Interface:
		return w.union(p)
	default:
		panic(fmt.Sprintf("openapi/gen: %s: there is no schema for %s", p.at, t))
	}
	return s.NewRef()
}

// component is a reference to the component of a type. It is walked once in
// each role, so that what it contains is known to have that role.
func (w *walker) component(t reflect.Type, p place, build func(reflect.Type, place) *openapi3.Schema) *openapi3.SchemaRef {
	name := componentName(t)
	if known, taken := w.types[name]; taken && known != t {
		panic(fmt.Sprintf("openapi/gen: %s and %s are both called %s; name one in names.go", keyOf(known), keyOf(t), name))
	}
	if w.types[name] == nil {
		w.types[name], w.used[name] = t, map[role]bool{}
		w.schemas[name] = (&openapi3.Schema{}).NewRef()
	}
	if !w.used[name][p.role] {
		w.used[name][p.role] = true
		*w.schemas[name].Value = *build(t, p)
	}
	return refTo(name, w.schemas[name].Value)
}

func refTo(name string, s *openapi3.Schema) *openapi3.SchemaRef {
	return openapi3.NewSchemaRef("#/components/schemas/"+name, s)
}

func (w *walker) object(t reflect.Type, p place) *openapi3.Schema {
	s := &openapi3.Schema{Type: &openapi3.Types{"object"}, Description: w.comments.of(t, ""), Properties: openapi3.Schemas{}}
	if p.role == asked {
		s.AdditionalProperties = openapi3.AdditionalProperties{Has: openapi3.Ptr(false)}
	}
	var goNames []string
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		goNames = append(goNames, f.Name)
		rules := f.Tag.Get("validate")
		at := keyOf(t) + "." + f.Name
		member := w.schemaOf(f.Type, place{at: at, name: name, tag: f.Tag, rules: rules, role: p.role})
		s.Properties[name] = describe(member, w.comments.of(t, f.Name))
		required := !strings.Contains(options, "omit")
		if p.role == asked {
			required = slices.Contains(strings.Split(rules, ","), "required")
		}
		if required {
			s.Required = append(s.Required, name)
		}
	}
	refuseGoNames(s, goNames, keyOf(t))
	return s
}

// describe gives a member its description: beside the reference, where it is
// one to a component.
func describe(s *openapi3.SchemaRef, text string) *openapi3.SchemaRef {
	if s.Ref != "" {
		return (&openapi3.Schema{Description: text, AllOf: openapi3.SchemaRefs{s}}).NewRef()
	}
	s.Value.Description = text
	return s
}

// refuseGoNames panics where a description speaks of a field by its Go name,
// which a reader of the document does not know.
func refuseGoNames(s *openapi3.Schema, goNames []string, at string) {
	text := s.Description
	for _, p := range s.Properties {
		text += " " + p.Value.Description
	}
	for _, word := range regexp.MustCompile(`\w+`).FindAllString(text, -1) {
		if slices.Contains(goNames, word) && regexp.MustCompile(`[a-z0-9]+[A-Z]`).MatchString(word) {
			panic(fmt.Sprintf("openapi/gen: %s: a description speaks of %s; write the name that the JSON has", at, word))
		}
	}
}

func (w *walker) enum(t reflect.Type, values []string) *openapi3.Schema {
	s := &openapi3.Schema{Type: &openapi3.Types{"string"}, Description: w.comments.of(t, "") + "\n" + w.comments.values(t, values)}
	for _, v := range values {
		s.Enum = append(s.Enum, v)
	}
	return s
}

// settle says of every enumeration whether it may grow, once it is known
// where it is used, and refuses structs that stand on both sides: a request is
// closed, and an answer is open.
func (w *walker) settle() {
	for _, name := range slices.Sorted(maps.Keys(w.types)) {
		t, s := w.types[name], w.schemas[name].Value
		switch {
		case t.Kind() == reflect.Struct && w.used[name][asked] && w.used[name][answered]:
			panic("openapi/gen: " + name + " is part of a request and of an answer; give each a type of its own")
		case t.Kind() == reflect.String && w.used[name][answered]:
			s.Extensions = map[string]any{"x-may-grow": !neverGrows(t)}
			if neverGrows(t) {
				s.Description += "\n\nThe list does not grow."
			} else if w.used[name][asked] {
				s.Description += "\n\nA request may hold only these. In an answer the list may grow: take an unknown value as unknown, not as an error."
			} else {
				s.Description += "\n\nThe list may grow: take an unknown value as unknown, not as an error."
			}
		}
	}
}

// neverGrows says that callers decide by the value, so that a new one would
// break them.
func neverGrows(t reflect.Type) bool {
	return t == reflect.TypeFor[spec.Verdict]() || t == reflect.TypeFor[spec.Severity]()
}

// knownValues lists the values there are now of a string whose list grows with
// the service.
func (w *walker) knownValues(s *openapi3.Schema, p place) {
	switch known := p.tag.Get("known"); known {
	case "":
	case "rules":
		var ids []string
		for _, r := range rule.All() {
			ids = append(ids, r.ID)
		}
		s.Extensions = map[string]any{"x-known-values": ids, "x-may-grow": true}
	default:
		panic("openapi/gen: " + p.at + ": nothing is known of " + known)
	}
}

func (w *walker) number(s *openapi3.Schema, k reflect.Kind, p place) {
	s.Type, s.Format = &openapi3.Types{"number"}, "double"
	if k == reflect.Int {
		s.Type, s.Format = &openapi3.Types{"integer"}, "int64"
		if s.Min != nil && s.Max != nil && *s.Min >= math.MinInt32 && *s.Max <= math.MaxInt32 {
			s.Format = "int32"
		}
	}
	unit := p.tag.Get("unit")
	if unit == "" {
		unit = spec.UnitOf(p.name)
	}
	if unit == "" {
		panic("openapi/gen: " + p.at + ": what is the unit? End the name in one, or give a tag unit")
	}
	s.Extensions = map[string]any{"x-unit": unit}
}
