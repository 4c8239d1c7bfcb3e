package main

import (
	"reflect"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// union is a value that is a number or a text. It and its two forms are
// components, so that a generated client has names for them. The rules are
// shared out: bounds to the number, lengths to the text.
func (w *walker) union(p place) *openapi3.SchemaRef {
	if p.tag.Get("union") != "number,text" {
		panic("openapi/gen: " + p.at + `: a value of any type; say union:"number,text" or give it a type`)
	}
	var bounds, lengths []string
	for rule := range strings.SplitSeq(p.rules, ",") {
		if strings.HasPrefix(rule, "gte=") || strings.HasPrefix(rule, "lte=") {
			bounds = append(bounds, rule)
		} else {
			lengths = append(lengths, rule)
		}
	}
	number := &openapi3.Schema{Description: "A number, in the unit of the field it stands for."}
	applyRules(number, reflect.TypeFor[float64](), strings.Join(bounds, ","), p.at)
	w.number(number, reflect.Float64, p)
	text := &openapi3.Schema{Type: &openapi3.Types{"string"}, Description: "A word of the field it stands for."}
	applyRules(text, reflect.TypeFor[string](), strings.Join(lengths, ","), p.at)

	path := strings.Split(p.at, ".")
	owner := path[len(path)-2]
	whole := &openapi3.Schema{Description: "A number or a text.", OneOf: openapi3.SchemaRefs{
		refTo(owner+"Number", number), refTo(owner+"Text", text),
	}}
	for name, s := range map[string]*openapi3.Schema{owner + "Number": number, owner + "Text": text, owner + path[len(path)-1]: whole} {
		w.schemas[name] = s.NewRef()
	}
	return refTo(owner+path[len(path)-1], whole)
}
