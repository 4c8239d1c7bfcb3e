// Package conformance asks the service whatever can be asked, right and wrong,
// and holds every answer against the document.
package conformance

import (
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi"
	"github.com/wattkeel/wattkeel/openapi/conform"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// node is an object of the document.
type node = map[string]any

var document = sync.OnceValue(func() node {
	var d node
	if err := json.Unmarshal(openapi.JSON(), &d); err != nil {
		panic(err)
	}
	return d
})

var checker = sync.OnceValue(func() *conform.Checker {
	c, err := conform.New()
	if err != nil {
		panic(err)
	}
	return c
})

var service = sync.OnceValue(func() *api.Server { return api.New(api.Config{Document: openapi.JSON()}) })

// follow is the schema that a schema refers to, however often.
func follow(s node) node {
	for {
		if ref, is := s["$ref"].(string); is {
			s = at(document(), strings.Split(strings.TrimPrefix(ref, "#/"), "/")...)
			continue
		}
		if all, is := s["allOf"].([]any); is && len(all) == 1 {
			s, _ = all[0].(node)
			continue
		}
		return s
	}
}

func at(v node, names ...string) node {
	for _, name := range names {
		v, _ = v[name].(node)
	}
	return v
}

// operation is one operation of the document, with what a caller chooses.
type operation struct {
	method, path, id string
	body             node     // the schema of the request, nil where there is none
	query            []node   // the query parameters
	entries          []string // the names that the path parameter may have
	negotiates       bool     // looks at Accept and at the query
	cached           bool     // looks at If-None-Match
	forms            []string // the media types of a good answer
}

func operations() []operation {
	var list []operation
	paths := at(document(), "paths")
	for _, path := range slices.Sorted(maps.Keys(paths)) {
		for method, v := range at(paths, path) {
			raw, _ := v.(node)
			o := operation{method: strings.ToUpper(method), path: path, id: raw["operationId"].(string)}
			if b := at(raw, "requestBody"); b != nil {
				o.body = follow(at(b, "content", "application/json", "schema"))
			}
			parameters, _ := raw["parameters"].([]any)
			for _, p := range parameters {
				q := follow(p.(node))
				switch q["in"] {
				case "query":
					o.query = append(o.query, q)
				case "path":
					o.entries = texts(at(q, "schema")["x-known-values"])
					if o.entries == nil {
						o.entries = texts(follow(at(q, "schema"))["enum"])
					}
				}
			}
			_, o.negotiates = at(raw, "responses")["406"]
			_, o.cached = at(raw, "responses")["304"]
			o.forms = slices.Sorted(maps.Keys(at(raw, "responses", "200", "content")))
			list = append(list, o)
		}
	}
	return list
}

func texts(v any) []string {
	list, _ := v.([]any)
	var out []string
	for _, x := range list {
		out = append(out, x.(string))
	}
	return out
}

// question is one request, right or wrong.
type question struct {
	method, path, name, query string // the name is not escaped
	header                    http.Header
	body                      []byte
}

func (q *question) url() *url.URL {
	before, after, has := strings.Cut(q.path, "{")
	if !has {
		return &url.URL{Path: q.path, RawQuery: q.query}
	}
	_, rest, _ := strings.Cut(after, "}")
	return &url.URL{Path: before + q.name + rest, RawPath: before + url.PathEscape(q.name) + rest, RawQuery: q.query}
}

// ask asks the service in process; the answer has been judged.
func ask(t conform.TB, q *question) *httptest.ResponseRecorder {
	t.Helper()
	r := &http.Request{
		Method: q.method, URL: q.url(), Header: q.header, Host: "test", Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Body: io.NopCloser(bytes.NewReader(q.body)), ContentLength: int64(len(q.body)),
	}
	w := httptest.NewRecorder()
	checker().Watch(t, service().Handler()).ServeHTTP(w, r)
	return w
}

func TestTheDocumentIsReadAsMeant(t *testing.T) {
	ops := operations()
	require.GreaterOrEqual(t, len(ops), 9)
	withBody, withQuery, withEntries := 0, 0, 0
	for _, o := range ops {
		if o.body != nil {
			withBody++
			require.NotEmpty(t, o.body["properties"], o.id)
		}
		if len(o.query) > 0 {
			withQuery++
		}
		if len(o.entries) > 0 {
			withEntries++
		}
		require.Equal(t, strings.Contains(o.path, "{"), len(o.entries) > 0, o.path)
	}
	require.GreaterOrEqual(t, withBody, 2)
	require.GreaterOrEqual(t, withQuery, 1)
	require.GreaterOrEqual(t, withEntries, 3)
}
