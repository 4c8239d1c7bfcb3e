package main

import (
	"maps"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
)

// harvest gives every number, text and truth value in the components an
// example of its own: the first that stood there in a true request or answer.
type harvest struct{ taken map[*openapi3.Schema]any }

func newHarvest() *harvest { return &harvest{taken: map[*openapi3.Schema]any{}} }

// take goes through a value beside its schema, in the order of names, so that
// the first is the same every time.
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
		for _, name := range slices.Sorted(maps.Keys(v)) {
			if p := schema.Properties[name]; p != nil {
				h.take(p, v[name])
			}
		}
	case []any:
		for _, x := range v {
			h.take(schema.Items, x)
		}
	default:
		for _, one := range schema.OneOf {
			if _, number := v.(float64); number == one.Value.Type.Is("number") {
				h.leaf(one.Value, v)
			}
		}
		h.leaf(schema, v)
	}
}

// leaf keeps the first value that is not 0, false or empty, which would say
// little.
func (h *harvest) leaf(s *openapi3.Schema, v any) {
	old, taken := h.taken[s]
	if taken && (!says(v) || says(old)) {
		return
	}
	h.taken[s] = v
	s.Examples = []any{v}
}

func says(v any) bool { return v != "" && v != 0.0 && v != false }

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
			if _, taken := h.taken[v]; !taken {
				list = append(list, name+"."+member)
			}
		}
	}
	slices.Sort(list)
	return list
}
