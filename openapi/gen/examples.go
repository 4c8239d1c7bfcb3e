package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/wattkeel/wattkeel/api"
)

// exampleRequestID names every request of an example, so that it is the same
// at every generation.
const exampleRequestID = "tq-desk-0042"

// example is one file: a request, to be asked of the service.
type example struct {
	// Summary says what the request shows.
	Summary string `json:"summary"`
	// Method is the method. Left out, it is the operation's.
	Method string `json:"method,omitempty"`
	// Path is the path with its parameters. Left out, it is the operation's.
	Path string `json:"path,omitempty"`
	// Headers are sent beside those that every example has.
	Headers map[string]string `json:"headers,omitempty"`
	// Body is sent without white space.
	Body json.RawMessage `json:"body,omitempty"`
	// Text is sent as it is, in place of Body: what is not JSON, for instance.
	Text *string `json:"text,omitempty"`
	// Draining asks a service that has been told to stop.
	Draining bool `json:"draining,omitempty"`

	name string
	op   *api.Operation
}

// outcome is a request with its true answer.
type outcome struct {
	status int
	media  string
	body   []byte
}

// readExamples reads dir/OPERATION/NAME.json for every operation.
func readExamples(dir string, operations []api.Operation) ([]example, error) {
	var list []example
	for i := range operations {
		op := &operations[i]
		files, err := filepath.Glob(filepath.Join(dir, op.ID, "*.json"))
		if err != nil || len(files) == 0 {
			return nil, fmt.Errorf("the operation %s has no example in %s (%w)", op.ID, dir, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				return nil, fmt.Errorf("read an example: %w", err)
			}
			e := example{op: op, name: strings.TrimSuffix(filepath.Base(file), ".json")}
			d := json.NewDecoder(bytes.NewReader(text))
			d.DisallowUnknownFields()
			if err := d.Decode(&e); err != nil {
				return nil, fmt.Errorf("%s: %w", file, err)
			}
			e.complete()
			list = append(list, e)
		}
	}
	return list, nil
}

func (e *example) complete() {
	if e.Method == "" {
		e.Method = e.op.Method
	}
	if e.Path == "" {
		e.Path = e.op.Path
	}
	headers := map[string]string{"X-Request-Id": exampleRequestID}
	if e.op.Request != nil {
		headers["Content-Type"] = "application/json"
	}
	maps.Copy(headers, e.Headers)
	e.Headers = headers
}

// request is the body as it is sent.
func (e *example) request() string {
	if e.Text != nil {
		return *e.Text
	}
	var b bytes.Buffer
	if err := json.Compact(&b, e.Body); err != nil {
		return "" // there is none
	}
	return b.String()
}

// ask puts the request to a service.
func (e *example) ask() outcome {
	s := api.New(api.Config{})
	if e.Draining {
		s.Drain()
	}
	r := httptest.NewRequest(e.Method, e.Path, strings.NewReader(e.request()))
	for name, value := range e.Headers {
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	media, _, _ := strings.Cut(w.Header().Get("Content-Type"), ";")
	return outcome{status: w.Code, media: media, body: w.Body.Bytes()}
}

// addExamples asks every example and puts the request and the answer into the
// document.
func addExamples(doc *openapi3.T, list []example, h *harvest) error {
	for i := range list {
		e := &list[i]
		o := doc.Paths.Value(e.op.Path).GetOperation(e.op.Method)
		out := e.ask()
		content, err := contentOf(o, &out)
		if err != nil {
			return fmt.Errorf("example %s of %s: %w", e.name, e.op.ID, err)
		}
		answer, err := out.value()
		if err != nil {
			return fmt.Errorf("example %s of %s: %w", e.name, e.op.ID, err)
		}
		if content.Examples == nil {
			content.Examples = openapi3.Examples{}
		}
		content.Examples[e.name] = &openapi3.ExampleRef{Value: &openapi3.Example{
			Summary: e.Summary, Value: answer, Extensions: map[string]any{"x-request": e.replay()},
		}}
		if out.isJSON() {
			h.take(content.Schema, answer)
		}
		if o.RequestBody == nil || out.status != http.StatusOK {
			continue
		}
		question, err := jsonValue(e.Body)
		if err != nil {
			return fmt.Errorf("example %s of %s: %w", e.name, e.op.ID, err)
		}
		media := o.RequestBody.Value.Content["application/json"]
		if media.Examples == nil {
			media.Examples = openapi3.Examples{}
		}
		media.Examples[e.name] = &openapi3.ExampleRef{Value: &openapi3.Example{Summary: e.Summary, Value: question}}
		h.take(media.Schema, question)
	}
	dropUnused(doc)
	return complete(doc)
}

// dropUnused leaves out the shared responses of which every operation has a
// copy with examples.
func dropUnused(doc *openapi3.T) {
	used := map[string]bool{}
	for _, item := range doc.Paths.Map() {
		for _, o := range item.Operations() {
			for _, r := range o.Responses.Map() {
				used[strings.TrimPrefix(r.Ref, "#/components/responses/")] = true
			}
		}
	}
	maps.DeleteFunc(doc.Components.Responses, func(name string, _ *openapi3.ResponseRef) bool { return !used[name] })
}

// contentOf is where an answer belongs. A response that is shared is copied
// first: its examples are those of one operation.
func contentOf(o *openapi3.Operation, out *outcome) (*openapi3.MediaType, error) {
	r := o.Responses.Value(statusKey(out.status))
	if r == nil {
		return nil, fmt.Errorf("it is answered %d, which the document does not have: %s", out.status, out.body)
	}
	if r.Ref != "" {
		own := *r.Value
		own.Content = openapi3.Content{}
		for media, m := range r.Value.Content {
			own.Content[media] = &openapi3.MediaType{Schema: m.Schema}
		}
		r = &openapi3.ResponseRef{Value: &own}
		o.Responses.Set(statusKey(out.status), r)
	}
	content := r.Value.Content[out.media]
	if content == nil {
		return nil, fmt.Errorf("it is answered in %s, which the document does not have", out.media)
	}
	return content, nil
}

// replay is all it takes to send the request again. A body stands as a value,
// to be sent without white space, or as a text, to be sent as it is.
func (e *example) replay() map[string]any {
	r := map[string]any{"method": e.Method, "path": e.Path, "headers": e.Headers}
	switch {
	case e.Text != nil:
		r["text"] = *e.Text
	case e.Body != nil:
		r["body"] = e.Body
	}
	if e.Draining {
		r["draining"] = true
	}
	return r
}

func (o *outcome) isJSON() bool { return o.media == "application/json" || o.media == problemJSON }

// value is the body as the document holds it: JSON as a value, and what is not
// JSON as a text.
func (o *outcome) value() (any, error) {
	if !o.isJSON() {
		return string(o.body), nil
	}
	return jsonValue(o.body)
}

func jsonValue(body []byte) (any, error) {
	var v ordered
	if err := v.read(body); err != nil {
		return nil, err
	}
	return v, nil
}

// complete refuses an operation without an example of success, or without one
// of failure where it can fail other than by being overloaded.
func complete(doc *openapi3.T) error {
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			good, bad := 0, 0
			for status, r := range o.Responses.Map() {
				for _, m := range r.Value.Content {
					if status == "200" {
						good += len(m.Examples)
					} else {
						bad += len(m.Examples)
					}
				}
			}
			if good == 0 || (bad == 0 && slices.ContainsFunc(slices.Collect(maps.Keys(o.Responses.Map())), func(s string) bool { return s != "200" })) {
				return fmt.Errorf("%s %s has %d examples of success and %d of failure", method, path, good, bad)
			}
		}
	}
	return nil
}
