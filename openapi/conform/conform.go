// Package conform judges what the service answers against its OpenAPI
// document, for tests. It is a leaf, and nothing but tests imports it.
package conform

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/wattkeel/wattkeel/openapi"
)

// Checker judges exchanges against one document, whose schemas it has compiled
// once. It is safe for concurrent use.
type Checker struct {
	paths   []path
	problem *jsonschema.Schema // what a path or a method that is not documented is answered with
}

type path struct {
	template string
	segments []string
	methods  map[string]*operation // by upper-case method
}

type operation struct {
	body    *jsonschema.Schema // of the request, nil where there is none
	answers map[int]*answer
}

type answer struct {
	headers map[string]*jsonschema.Schema // by canonical name
	content map[string]*jsonschema.Schema // by media type
}

// Exchange is one request and its answer.
type Exchange struct {
	Method string
	// Path is the path of the request as it was sent, escaped.
	Path   string
	Status int
	Header http.Header
	Body   []byte
}

// New is a Checker of the document of the service.
func New() (*Checker, error) { return Of(openapi.JSON()) }

// Of is a Checker of any OpenAPI 3.1 document.
func Of(document []byte) (*Checker, error) { return compile(document) }

// aside lists what is served but is not part of the API: the document itself
// and pages about it.
func aside(path string) bool {
	return path == "/openapi.json" || path == "/docs" || strings.HasPrefix(path, "/docs/")
}

// invented says that a path is one that the tests of package api add.
func invented(path string) bool { return strings.HasPrefix(path, "/test/") }

// Judge says everything in which an answer is not what the document promises,
// or nil.
func (c *Checker) Judge(x Exchange) error {
	if invented(x.Path) || aside(x.Path) {
		return nil
	}
	p := c.find(x.Path)
	if p == nil {
		return c.undocumented(x, http.StatusNotFound)
	}
	o := p.methods[x.Method]
	if o == nil && x.Method == http.MethodHead {
		o = p.methods[http.MethodGet] // RFC 9110, section 9.3.2
	}
	switch {
	case o != nil:
		return c.documented(x, p, o)
	case x.Method == http.MethodOptions:
		return errors.Join(expect(x, http.StatusNoContent), p.allow(x))
	}
	return errors.Join(c.undocumented(x, http.StatusMethodNotAllowed), p.allow(x))
}

func (c *Checker) documented(x Exchange, p *path, o *operation) error {
	a := o.answers[x.Status]
	if a == nil {
		return fmt.Errorf("status %d is not documented for %s %s: %s", x.Status, x.Method, p.template, short(x.Body))
	}
	errs := a.judgeHeaders(x)
	media, charset, _ := strings.Cut(x.Header.Get("Content-Type"), ";")
	schema, known := a.content[media]
	if known {
		errs = append(errs, judgeCharset(media, charset))
	}
	switch {
	case len(a.content) == 0:
		if len(x.Body) > 0 {
			errs = append(errs, fmt.Errorf("status %d has no body, but there is one: %s", x.Status, short(x.Body)))
		}
	case !known:
		errs = append(errs, fmt.Errorf("content type %q is not documented for %d of %s %s", media, x.Status, x.Method, p.template))
	case x.Method == http.MethodHead:
		if len(x.Body) > 0 {
			errs = append(errs, errors.New("HEAD is answered with a body"))
		}
	case isJSON(media):
		errs = append(errs, judgeBody(schema, x, media))
	default:
		errs = append(errs, judgePlain(schema, x))
	}
	return errors.Join(errs...)
}

// undocumented judges the answer where there is no operation.
func (c *Checker) undocumented(x Exchange, status int) error {
	errs := []error{expect(x, status)}
	if media := x.Header.Get("Content-Type"); media != mediaProblem {
		errs = append(errs, fmt.Errorf("the content type of an error is %q", media))
	} else if x.Method != http.MethodHead {
		errs = append(errs, judgeBody(c.problem, x, mediaProblem))
	}
	if x.Header.Get("X-Request-Id") == "" {
		errs = append(errs, errors.New("there is no X-Request-Id"))
	}
	return errors.Join(errs...)
}

func expect(x Exchange, status int) error {
	if x.Status == status {
		return nil
	}
	return fmt.Errorf("%s %s has no operation, and yet status %d instead of %d: %s", x.Method, x.Path, x.Status, status, short(x.Body))
}

// allow judges the Allow header: exactly the methods that the document has,
// with those that come by themselves.
func (p *path) allow(x Exchange) error {
	want := map[string]bool{http.MethodOptions: true}
	for m := range p.methods {
		want[m] = true
		if m == http.MethodGet {
			want[http.MethodHead] = true
		}
	}
	got := x.Header.Get("Allow")
	methods := strings.Split(got, ", ")
	for _, m := range methods {
		if !want[m] {
			return fmt.Errorf("allow is %q; %s has no %q", got, p.template, m)
		}
	}
	if len(methods) != len(want) {
		return fmt.Errorf("allow is %q; it leaves out methods of %s", got, p.template)
	}
	return nil
}

// JudgeRequest says what in a body is not as the schema of the request says,
// or nil. The body must be JSON.
func (c *Checker) JudgeRequest(method, escapedPath string, body []byte) error {
	p := c.find(escapedPath)
	if p == nil || p.methods[method] == nil || p.methods[method].body == nil {
		return fmt.Errorf("%s %s takes no body", method, escapedPath)
	}
	return judgeText(p.methods[method].body, body)
}

// JudgeAnswer judges a text that is printed rather than sent: the body of a
// good answer of an operation.
func (c *Checker) JudgeAnswer(method, escapedPath string, body []byte) error {
	p := c.find(escapedPath)
	if p == nil || p.methods[method] == nil {
		return fmt.Errorf("%s %s is not documented", method, escapedPath)
	}
	return judgeText(p.methods[method].answers[http.StatusOK].content[mediaJSON], body)
}

func (c *Checker) find(escaped string) *path {
	got := strings.Split(escaped, "/")
	for i := range c.paths {
		if c.paths[i].matches(got) {
			return &c.paths[i]
		}
	}
	return nil
}

func (p *path) matches(got []string) bool {
	if len(got) != len(p.segments) {
		return false
	}
	for i, s := range p.segments {
		// A path parameter has a character at least: /v1/rules/ is no rule.
		parameter := strings.HasPrefix(s, "{") && got[i] != ""
		if !parameter && s != got[i] {
			return false
		}
	}
	return true
}

func judgeBody(schema *jsonschema.Schema, x Exchange, media string) error {
	if err := judgeText(schema, x.Body); err != nil {
		return fmt.Errorf("the body of %d of %s %s: %w\n%s", x.Status, x.Method, x.Path, err, short(x.Body))
	}
	if media != mediaProblem {
		return nil
	}
	var p struct {
		Status   int
		Instance string
	}
	_ = json.Unmarshal(x.Body, &p) // it has just been read
	// RFC 9457, section 3.1.2.
	if p.Status != x.Status || p.Instance != x.Header.Get("X-Request-Id") {
		return fmt.Errorf("the problem says status %d and instance %q; the answer has %d and X-Request-Id %q", p.Status, p.Instance, x.Status, x.Header.Get("X-Request-Id"))
	}
	return nil
}

// judgeCharset wants a text to say that it is in UTF-8, and JSON to say nothing:
// it has no such parameter (RFC 8259, section 11).
func judgeCharset(media, parameters string) error {
	want := ""
	if strings.HasPrefix(media, "text/") {
		want = " charset=utf-8"
	}
	if parameters != want {
		return fmt.Errorf("the content type is %q with the parameters %q instead of %q", media, parameters, want)
	}
	return nil
}

// judgePlain judges a body that is no JSON: it must be UTF-8, and as long as its
// schema says, which is that of a string.
func judgePlain(schema *jsonschema.Schema, x Exchange) error {
	if !utf8.Valid(x.Body) {
		return fmt.Errorf("the body of %d of %s %s is not UTF-8: %q", x.Status, x.Method, x.Path, short(x.Body))
	}
	if err := schema.Validate(string(x.Body)); err != nil {
		return fmt.Errorf("the body of %d of %s %s: %w", x.Status, x.Method, x.Path, err)
	}
	return nil
}

func judgeText(schema *jsonschema.Schema, text []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("not JSON: %w", err)
	}
	return schema.Validate(v)
}

func short(body []byte) string {
	const most = 600
	if len(body) > most {
		return string(body[:most]) + "…"
	}
	return string(body)
}
