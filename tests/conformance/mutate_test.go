package conformance

import (
	"maps"
	"math"
	"slices"
	"strings"

	"pgregory.net/rapid"
)

// spot is one value of a body that can be exchanged for another.
type spot struct {
	schema node
	value  any
	put    func(any)
}

// spots lists every value in a body with its schema, the body itself left out.
func spots(s node, v any) []spot {
	s = follow(s)
	var found []spot
	switch v := v.(type) {
	case node:
		properties := at(s, "properties")
		for _, name := range slices.Sorted(maps.Keys(v)) {
			inner, is := properties[name].(node)
			if !is {
				continue
			}
			found = append(found, spot{follow(inner), v[name], func(x any) { v[name] = x }})
			found = append(found, spots(inner, v[name])...)
		}
	case []any:
		inner, _ := s["items"].(node)
		for i := range v {
			found = append(found, spot{follow(inner), v[i], func(x any) { v[i] = x }})
			found = append(found, spots(inner, v[i])...)
		}
	}
	return found
}

// objects lists every object in a body with its schema.
func objects(s node, v any) []spot {
	out := []spot{{follow(s), v, nil}}
	for _, p := range spots(s, v) {
		if _, is := p.value.(node); is {
			out = append(out, p)
		}
	}
	return out
}

// breakObject does to an object what its schema forbids: a member too many, or
// one too few.
func breakObject(t *rapid.T, s node, body any) string {
	all := objects(s, body)
	o := all[rapid.IntRange(0, len(all)-1).Draw(t, "object")]
	object := o.value.(node)
	required := texts(o.schema["required"])
	if len(required) > 0 && rapid.Bool().Draw(t, "missing") {
		name := rapid.SampledFrom(required).Draw(t, "which")
		delete(object, name)
		return "without " + name
	}
	properties := slices.Sorted(maps.Keys(at(o.schema, "properties")))
	name := rapid.SampledFrom([]string{"x", "", "__proto__", "Pack", "a/b~", "é", strings.ToUpper(properties[0]), properties[0] + "_"}).Draw(t, "extra")
	object[name] = rapid.SampledFrom([]any{nil, 1.0, "x", node{}, []any{}}).Draw(t, "of value")
	return "with " + name
}

// breakValue exchanges one value for one that its schema forbids. It says
// nothing where it did nothing.
func breakValue(t *rapid.T, s node, body any) string {
	all := spots(s, body)
	if len(all) == 0 {
		return ""
	}
	p := all[rapid.IntRange(0, len(all)-1).Draw(t, "spot")]
	var wrong []any
	kind, _ := p.schema["type"].(string)
	for other, v := range map[string]any{"object": node{"a": 1.0}, "array": []any{p.value}, "string": "3", "boolean": true, "number": 0.5} {
		if other != kind && (other != "number" || kind != "integer") {
			wrong = append(wrong, v)
		}
	}
	// A map is drawn from in no order; a replay needs one.
	slices.SortFunc(wrong, func(a, b any) int { return strings.Compare(typeName(a), typeName(b)) })
	wrong = append(wrong, nil, node{"value": p.value})
	if kind == "object" {
		wrong = wrong[:len(wrong)-1]
		wrong = append(wrong, node{"value": p.value})
	}
	switch kind {
	case "integer":
		wrong = append(wrong, number(p.schema, "minimum", 0)-1, number(p.schema, "maximum", 0)+1, number(p.schema, "minimum", 0)+0.5, 1e300, -1e300)
	case "number":
		lo, hi := number(p.schema, "minimum", number(p.schema, "exclusiveMinimum", 0)), number(p.schema, "maximum", 0)
		wrong = append(wrong, math.Nextafter(lo, math.Inf(-1)), math.Nextafter(hi, math.Inf(1)), lo-1, hi*10+1, math.MaxFloat64, -math.MaxFloat64)
	case "string":
		switch {
		case p.schema["enum"] != nil:
			wrong = append(wrong, "", "LIPO", " lipo", "nothing of the kind")
		case p.schema["format"] == "date":
			wrong = append(wrong, "", "2025-02-29", "2025-13-01", "25-01-01", "2025-1-1", "2025-03-01T00:00:00Z", "2025-03-011")
		default:
			wrong = append(wrong, strings.Repeat("x", int(number(p.schema, "maxLength", 0))+1))
		}
	case "array":
		values := p.value.([]any)
		if len(values) == 0 {
			break
		}
		wrong = append(wrong, slices.Repeat(values[:1], int(number(p.schema, "maxItems", 0))+1))
		if p.schema["uniqueItems"] == true {
			wrong = append(wrong, append(slices.Clone(values), values[0]))
		}
		if number(p.schema, "minItems", 0) > 0 {
			wrong = append(wrong, []any{})
		}
	}
	i := rapid.IntRange(0, len(wrong)-1).Draw(t, "wrong value")
	p.put(wrong[i])
	return "a wrong value"
}

func typeName(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case node:
		return "object"
	case []any:
		return "array"
	case string:
		return "string"
	case bool:
		return "boolean"
	}
	return "number"
}

// garble makes of a body what is no I-JSON, or is none of a document.
func garble(t *rapid.T, text string) string {
	return rapid.SampledFrom([]string{
		"", " ", "null", "[]", "3", `"pack"`, text + "}", text[:len(text)-1], text + text, "\ufeff" + text, `{"pack":{},"pack":{}}`,
		strings.Replace(text, ":", ":[[[[[[[[[[[[[[[[[", 1), strings.Replace(text, `"`, `'`, 1), strings.Replace(text, "{", "{\"\xff\":1,", 1),
		strings.Replace(text, "{", `{"x":1e999,`, 1), strings.Replace(text, "{", `{"x":"\ud800",`, 1), strings.Replace(text, "{", `{"x":01,`, 1), "<pack/>",
	}).Draw(t, "garbled")
}
