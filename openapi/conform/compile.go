package conform

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

const (
	mediaJSON    = "application/json"
	mediaProblem = "application/problem+json"
)

func isJSON(media string) bool { return media == mediaJSON || strings.HasSuffix(media, "+json") }

// compiler walks a document and compiles each schema where it stands.
type compiler struct {
	schemas *jsonschema.Compiler
	doc     map[string]any
	err     error
}

func compile(document []byte) (*Checker, error) {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		return nil, fmt.Errorf("the document is not JSON: %w", err)
	}
	doc, is := v.(map[string]any)
	if !is {
		return nil, errors.New("the document is not an object")
	}
	// In the document an answer may gain members, and words where it says so;
	// what is answered now must have no others than those it tells of.
	shut(object(doc, "components", "schemas"))
	k := &compiler{schemas: jsonschema.NewCompiler(), doc: doc}
	k.schemas.DefaultDraft(jsonschema.Draft2020)
	k.schemas.AssertFormat()
	if err := k.schemas.AddResource(base, doc); err != nil {
		return nil, fmt.Errorf("the document cannot be read as schemas: %w", err)
	}
	c := &Checker{problem: k.schema("components", "schemas", "Problem")}
	paths := object(doc, "paths")
	for _, template := range slices.Sorted(maps.Keys(paths)) {
		p := path{template: template, segments: strings.Split(template, "/"), methods: map[string]*operation{}}
		for method := range object(paths, template) {
			p.methods[strings.ToUpper(method)] = k.operation("paths", template, method)
		}
		c.paths = append(c.paths, p)
	}
	if len(c.paths) == 0 {
		return nil, errors.New("the document has no paths")
	}
	return c, k.err
}

const base = "file:///openapi.json"

// shut lets no object that lists its members have others, and no text that
// lists the values it knows.
func shut(v any) {
	switch v := v.(type) {
	case map[string]any:
		_, lists := v["properties"].(map[string]any)
		_, says := v["additionalProperties"]
		if lists && !says && v["type"] == "object" {
			v["additionalProperties"] = false
		}
		if known, lists := v["x-known-values"].([]any); lists && v["enum"] == nil {
			v["enum"] = known
		}
		for name, inner := range v {
			if name != "examples" && name != "enum" {
				shut(inner)
			}
		}
	case []any:
		for _, inner := range v {
			shut(inner)
		}
	}
}

func (k *compiler) operation(at ...string) *operation {
	o := &operation{answers: map[int]*answer{}}
	if body := k.follow(append(at, "requestBody")); body != nil {
		o.body = k.schema(append(body, "content", mediaJSON, "schema")...)
	}
	for code := range object(k.doc, append(at, "responses")...) {
		status, err := strconv.Atoi(code)
		if err != nil {
			k.fail(fmt.Errorf("%s: %q is not a status", strings.Join(at, " "), code))
			continue
		}
		o.answers[status] = k.answer(k.follow(append(at, "responses", code)))
	}
	return o
}

func (k *compiler) answer(at []string) *answer {
	a := &answer{headers: map[string]*jsonschema.Schema{}, content: map[string]*jsonschema.Schema{}}
	for name := range object(k.doc, append(at, "headers")...) {
		a.headers[http.CanonicalHeaderKey(name)] = k.schema(append(k.follow(append(at, "headers", name)), "schema")...)
	}
	for media := range object(k.doc, append(at, "content")...) {
		a.content[media] = k.schema(append(slices.Clone(at), "content", media, "schema")...)
	}
	return a
}

// follow is the place that a reference at a place refers to, or the place
// itself; nil where there is nothing.
func (k *compiler) follow(at []string) []string {
	v := object(k.doc, at...)
	if v == nil {
		return nil
	}
	if ref, is := v["$ref"].(string); is {
		return strings.Split(strings.TrimPrefix(ref, "#/"), "/")
	}
	return slices.Clone(at)
}

func (k *compiler) schema(at ...string) *jsonschema.Schema {
	pointer := ""
	for _, name := range at {
		pointer += "/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
	}
	s, err := k.schemas.Compile(base + "#" + (&url.URL{Fragment: pointer}).EscapedFragment())
	k.fail(err)
	return s
}

func (k *compiler) fail(err error) {
	if err != nil {
		k.err = errors.Join(k.err, err)
	}
}

// object is the object at a place, nil where there is none.
func object(v map[string]any, at ...string) map[string]any {
	for _, name := range at {
		v, _ = v[name].(map[string]any)
	}
	return v
}
