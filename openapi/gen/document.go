package main

import (
	"net/http"
	"reflect"
	"regexp"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/spec"
)

// build is the whole document but for its examples.
func build(operations []api.Operation, c comments) *openapi3.T {
	w := newWalker(c)
	doc := &openapi3.T{
		OpenAPI: "3.1.0",
		Info: &openapi3.Info{
			Title: "wattkeel", Summary: "Plans how to charge, store and run hobby battery packs, and checks them.",
			Description: strings.TrimSpace(about), Version: spec.ServiceVersion,
			License: &openapi3.License{Name: "MIT", Identifier: "MIT"},
			Contact: &openapi3.Contact{Name: "wattkeel", URL: "https://github.com/wattkeel/wattkeel"},
		},
		Servers: openapi3.Servers{{
			URL: "/", Description: "The service that serves this document, local or in production.",
			Extensions: map[string]any{"x-internal": false},
		}},
		Paths: openapi3.NewPaths(),
		Components: &openapi3.Components{
			Headers: headers(), Responses: openapi3.ResponseBodies{}, Parameters: openapi3.ParametersMap{"If-None-Match": {Value: ifNoneMatch()}},
		},
	}
	problem := w.body(reflect.TypeFor[api.Problem](), answered)
	used := map[string]bool{}
	for i := range operations {
		op := &operations[i]
		used[op.Tag] = true
		doc.AddOperation(op.Path, op.Method, operation(doc, w, op, problem))
	}
	for _, t := range tags() {
		if used[t.Name] {
			doc.Tags = append(doc.Tags, t)
		}
		delete(used, t.Name)
	}
	for t := range used {
		panic("openapi/gen: the tag " + t + " has no description")
	}
	w.settle()
	doc.Components.Schemas = w.schemas
	return doc
}

func tags() openapi3.Tags {
	return openapi3.Tags{
		{Name: "plans", Description: "What to set, how long it takes, and why."},
		{Name: "checks", Description: "What is wrong with a pack, before anything is planned."},
		{Name: "readings", Description: "What a pack is, from what is printed on it."},
		{Name: "catalogs", Description: "What the answers rest on: the chemistries and the rules, with their sources."},
		{Name: "operation", Description: "For those who run the service, and for those who got an error."},
	}
}

func operation(doc *openapi3.T, w *walker, op *api.Operation, problem *openapi3.SchemaRef) *openapi3.Operation {
	o := &openapi3.Operation{
		OperationID: op.ID, Summary: op.Summary, Description: op.Description, Tags: []string{op.Tag},
		Responses: openapi3.NewResponsesWithCapacity(8), Parameters: parameters(op),
	}
	if op.Request != nil {
		o.RequestBody = &openapi3.RequestBodyRef{Value: &openapi3.RequestBody{
			Required: true, Description: w.comments.of(op.Request, ""),
			Content: openapi3.Content{"application/json": {Schema: w.body(op.Request, asked)}},
		}}
	}
	names := []string{"Cache-Control", "Vary", "X-Request-Id"}
	if op.Cached {
		names = append(names, "ETag")
		o.Responses.Set(statusKey(http.StatusNotModified), shared(doc, "NotModified", &openapi3.Response{
			Description: openapi3.Ptr("What If-None-Match names is still the answer."), Headers: headerRefs(names...),
		}))
	}
	answer := w.body(op.Answer, answered)
	content := openapi3.Content{}
	for _, form := range op.Produces {
		schema := answer
		if form.MediaType != "application/json" {
			schema = (&openapi3.Schema{Type: &openapi3.Types{"string"}, Description: form.Description, MinLength: 1, MaxLength: openapi3.Ptr[uint64](1 << 20)}).NewRef()
		}
		content[form.MediaType] = &openapi3.MediaType{Schema: schema}
	}
	o.Responses.Set("200", &openapi3.ResponseRef{Value: &openapi3.Response{
		Description: openapi3.Ptr(answer.Value.Description), Headers: headerRefs(names...), Content: content,
	}})
	for _, f := range failures(op) {
		o.Responses.Set(statusKey(f.status), shared(doc, f.name, f.response(problem)))
	}
	return o
}

// shared puts a response among the components and refers to it.
func shared(doc *openapi3.T, name string, r *openapi3.Response) *openapi3.ResponseRef {
	if doc.Components.Responses[name] == nil {
		doc.Components.Responses[name] = &openapi3.ResponseRef{Value: r}
	}
	return &openapi3.ResponseRef{Ref: "#/components/responses/" + name, Value: doc.Components.Responses[name].Value}
}

func parameters(op *api.Operation) openapi3.Parameters {
	var list openapi3.Parameters
	if m := regexp.MustCompile(`\{(\w+)\}`).FindStringSubmatch(op.Path); m != nil {
		if op.Entry.Name != m[1] || len(op.Entry.Values) == 0 {
			panic("openapi/gen: " + op.Path + ": the row does not describe " + m[1])
		}
		list = append(list, &openapi3.ParameterRef{Value: &openapi3.Parameter{
			Name: m[1], In: "path", Required: true, Description: op.Entry.Description,
			Schema: (&openapi3.Schema{
				Type: &openapi3.Types{"string"}, MinLength: 1, MaxLength: openapi3.Ptr[uint64](64), Examples: []any{op.Entry.Values[0]},
				Extensions: map[string]any{"x-known-values": op.Entry.Values, "x-may-grow": true},
			}).NewRef(),
		}})
	}
	for _, q := range op.Query {
		s := &openapi3.Schema{Type: &openapi3.Types{"string"}, Examples: []any{q.Values[0]}}
		for _, v := range q.Values {
			s.Enum = append(s.Enum, v)
		}
		list = append(list, &openapi3.ParameterRef{Value: &openapi3.Parameter{
			Name: q.Name, In: "query", Description: q.Description, Schema: s.NewRef(),
		}})
	}
	if op.Cached {
		list = append(list, &openapi3.ParameterRef{Ref: "#/components/parameters/If-None-Match", Value: ifNoneMatch()})
	}
	return list
}

func ifNoneMatch() *openapi3.Parameter {
	return &openapi3.Parameter{
		Name: "If-None-Match", In: "header", Description: "The ETag of a stored answer, or several with commas between. The answer is 304 while one of them still holds.",
		Schema: (&openapi3.Schema{Type: &openapi3.Types{"string"}, MinLength: 1, MaxLength: openapi3.Ptr[uint64](8192), Examples: []any{`"5d41402abc4b2a76b9719d911017c592"`}}).NewRef(),
	}
}
