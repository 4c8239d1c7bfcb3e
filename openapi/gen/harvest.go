package main

import (
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// harvest gives every number, text and truth value in the components an
// example of its own: the first that stood there in a true request or answer.
type harvest struct{ taken map[*openapi3.Schema]bool }

func newHarvest() *harvest { return &harvest{taken: map[*openapi3.Schema]bool{}} }

// take goes through a value beside its schema.
func (h *harvest) take(s *openapi3.SchemaRef, value any) {
	schema := s.Value
	for len(schema.AllOf) == 1 {
		schema = schema.AllOf[0].Value
	}
	if v, is := value.(ordered); is {
		value = v.value
	}
	switch v := value.(type) {
	case map[string]any:
		for name, x := range v {
			if p := schema.Properties[name]; p != nil {
				h.take(p, x)
			}
		}
	case []any:
		for _, x := range v {
			h.take(schema.Items, x)
		}
	default:
		for _, one := range schema.OneOf {
			if _, number := v.(float64); number == one.Value.Type.Is("number") {
				h.take(one, v)
			}
		}
		h.leaf(schema, v)
	}
}

// leaf keeps the example that is told most about: the longest, and among
// equals the first by its text, so that the order of a map does not matter.
func (h *harvest) leaf(s *openapi3.Schema, v any) {
	if s.Type == nil && s.OneOf == nil {
		return
	}
	if !h.taken[s] {
		h.taken[s] = true
		s.Examples = []any{v}
		return
	}
	if textOf(v) < textOf(s.Examples[0]) {
		s.Examples[0] = v
	}
}

// missing lists the members of components that no example shows.
func (h *harvest) missing(schemas openapi3.Schemas) []string {
	var list []string
	for name, s := range schemas {
		for member, p := range s.Value.Properties {
			v := p.Value
			for len(v.AllOf) == 1 {
				v = v.AllOf[0].Value
			}
			if v.Type.Is("object") || v.Type.Is("array") {
				continue
			}
			if !h.taken[v] {
				list = append(list, name+"."+member)
			}
		}
	}
	slices.Sort(list)
	return list
}

func textOf(v any) string {
	switch v := v.(type) {
	case string:
		return v
	default:
		return strings.TrimSpace(string(mustJSON(v)))
	}
}
