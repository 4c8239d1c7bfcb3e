package main

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/wattkeel/wattkeel/api"
)

const problemJSON = "application/problem+json"

// failure is one status with which an operation can fail, by the kinds of
// problem that have it.
type failure struct {
	name   string // of the component
	status int
	kinds  []api.Kind
}

// failures lists how an operation can fail, by its nature.
func failures(op *api.Operation) []failure {
	// What asks for health is answered whatever it says, but not by any method.
	slugs := []string{"internal-error"}
	if op.Ungated {
		slugs = append(slugs, "method-not-allowed")
	} else {
		slugs = append(slugs, "not-acceptable", "invalid-document", "overloaded")
	}
	if op.Stops {
		slugs = append(slugs, "stopping")
	}
	if op.Request != nil {
		slugs = append(slugs, "malformed-json", "unreadable-body", "body-too-slow", "body-too-large", "unsupported-media-type")
	}
	if strings.Contains(op.Path, "{") {
		slugs = append(slugs, "not-found")
	}
	return group(slugs)
}

// group puts kinds of one status together.
func group(slugs []string) []failure {
	var list []failure
	for _, k := range api.Kinds() {
		if !slices.Contains(slugs, k.Slug) {
			continue
		}
		i := slices.IndexFunc(list, func(f failure) bool { return f.status == k.Status })
		if i < 0 {
			list = append(list, failure{name: camel(k.Slug), status: k.Status, kinds: []api.Kind{k}})
			continue
		}
		list[i].kinds = append(list[i].kinds, k)
		list[i].name = strings.ReplaceAll(http.StatusText(k.Status), " ", "")
	}
	found := 0
	for _, f := range list {
		found += len(f.kinds)
	}
	if found != len(slugs) {
		panic(fmt.Sprintf("openapi/gen: not each of %v is a kind of problem", slugs))
	}
	slices.SortFunc(list, func(a, b failure) int { return a.status - b.status })
	return list
}

// camel is CamelCase for kebab-case.
func camel(slug string) string {
	var b strings.Builder
	for word := range strings.SplitSeq(slug, "-") {
		switch word {
		case "json":
			b.WriteString("JSON")
		default:
			b.WriteString(strings.ToUpper(word[:1]) + word[1:])
		}
	}
	return b.String()
}

// response is the response of a failure, without examples.
func (f *failure) response(problem *openapi3.SchemaRef) *openapi3.Response {
	var words []string
	for _, k := range f.kinds {
		words = append(words, fmt.Sprintf("%s (`%s`). %s", k.Title, k.Slug, k.Meaning))
	}
	names := []string{"Cache-Control", "Vary", "X-Request-Id"}
	switch f.status {
	case http.StatusServiceUnavailable:
		names = append(names, "Retry-After")
	case http.StatusMethodNotAllowed:
		names = append(names, "Allow")
	case http.StatusUnsupportedMediaType:
		names = append(names, "Accept", "Accept-Encoding")
	}
	return &openapi3.Response{
		Description: openapi3.Ptr(strings.Join(words, "\n\n")),
		Headers:     headerRefs(names...),
		Content:     openapi3.Content{problemJSON: {Schema: problem}},
	}
}

func headerRefs(names ...string) openapi3.Headers {
	refs := openapi3.Headers{}
	for _, n := range names {
		refs[n] = &openapi3.HeaderRef{Ref: "#/components/headers/" + n, Value: headers()[n].Value}
	}
	return refs
}

// headers lists the headers of responses.
func headers() openapi3.Headers {
	list := openapi3.Headers{}
	for _, h := range []struct{ name, description, example string }{
		{"X-Request-Id", "The name of this request in the log and in problems: that of the request, where it gave one of 1 to 64 letters, digits, dots, dashes and underscores, or else one made up.", "tq-desk-0042"},
		{"Cache-Control", "no-cache where the answer changes only with the version of the service, so that it may be stored but has to be asked about; no-store otherwise.", "no-store"},
		{"Vary", "Always Accept.", "Accept"},
		{"ETag", "A strong entity tag. Send it as If-None-Match to be answered 304 while nothing has changed.", `"5d41402abc4b2a76b9719d911017c592"`},
		{"Retry-After", "After how many seconds to try again.", "1"},
		{"Allow", "The methods that the path has.", "OPTIONS, GET, HEAD"},
		{"Accept", "The media type to send: application/json. Absent where the fault is the content coding.", "application/json"},
		{"Accept-Encoding", "The content coding to send: identity, which is none. Absent where the fault is the media type.", "identity"},
	} {
		s := &openapi3.Schema{Type: &openapi3.Types{"string"}, MinLength: 1, MaxLength: openapi3.Ptr[uint64](128), Examples: []any{h.example}}
		if h.name == "Retry-After" {
			s = &openapi3.Schema{
				Type: &openapi3.Types{"integer"}, Format: "int32", Min: openapi3.Ptr(1.0), Max: openapi3.Ptr(3600.0),
				Examples: []any{1}, Extensions: map[string]any{"x-unit": "seconds"},
			}
		}
		list[h.name] = &openapi3.HeaderRef{Value: &openapi3.Header{Parameter: openapi3.Parameter{
			Description: h.description, Schema: s.NewRef(),
		}}}
	}
	return list
}

func statusKey(status int) string { return strconv.Itoa(status) }
