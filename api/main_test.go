package api

import (
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/openapi/conform"
	"github.com/wattkeel/wattkeel/service/spec"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(suite{m}) }

// suite is all tests of the package. After all of them it looks whether every
// kind of problem has been answered to some request.
type suite struct{ tests *testing.M }

func (s suite) Run() int {
	code := s.tests.Run()
	for _, name := range []string{"test.run", "test.fuzz", "test.bench", "test.list", "test.skip", "test.fuzzworker"} {
		if f := flag.Lookup(name); f != nil && f.Value.String() != "" && f.Value.String() != "false" {
			return code // not all of them
		}
	}
	for _, k := range Kinds() {
		if _, is := produced.Load(k.Slug); !is && code == 0 {
			fmt.Fprintf(os.Stderr, "no test is answered with the problem %q\n", k.Slug)
			code = 1
		}
	}
	return code
}

// produced holds the kinds of problems that requireProblem has seen.
var produced sync.Map

// contract judges every answer that a test of this package gets: do and
// sendRaw ask it, and the clients of serve.
var contract = sync.OnceValue(func() *conform.Checker {
	c, err := conform.New()
	if err != nil {
		panic(err)
	}
	return c
})

// The edge is tested on operations of its own, so that what a plan holds has
// no part in it.

type color string

func (color) Enum() []string { return []string{"red", "green", "blue"} }

type knob struct {
	Count   int       `json:"count" validate:"required,gte=1,lte=32"`
	Size    *float64  `json:"size_mm,omitempty" validate:"omitempty,gt=0,lte=100"`
	Color   color     `json:"color,omitempty" validate:"omitempty,enum"`
	MadeOn  spec.Date `json:"made_on,omitempty" validate:"omitempty,datetime=2006-01-02"`
	Notches []float64 `json:"notches_v,omitempty" validate:"omitempty,max=4,dive,gte=0,lte=6"`
}

type question struct {
	Name   string            `json:"name,omitempty" validate:"omitempty,max=8"`
	Knob   knob              `json:"knob" validate:"required"`
	Spares []knob            `json:"spares,omitempty" validate:"omitempty,max=3,dive"`
	Colors []color           `json:"colors,omitempty" validate:"omitempty,max=3,unique,dive,enum"`
	Loud   *bool             `json:"loud,omitempty"`
	Turns  *int              `json:"turns,omitempty" validate:"omitempty,gte=-5,lte=5"`
	Labels map[string]string `json:"labels,omitempty"`
}

func (q *question) Check(at string, r *spec.Report) {
	if q.Loud != nil && q.Turns != nil {
		r.Add(at, "one-of", "loud and turns exclude each other; keep one")
	}
}

type reply struct {
	Question question `json:"question"`
	Third    float64  `json:"third"`
	List     []string `json:"list"`
}

func answerQuestion(q *question) *reply { return &reply{Question: *q, Third: 1.0 / 3} }

const goodQuestion = `{"name":"a","knob":{"count":3,"size_mm":2.5,"color":"red","notches_v":[1,2]}}`

type thing struct {
	Name string `json:"name"`
}

func findThing(name string) (thing, bool, []string) {
	if name == "alpha" || name == "beta" {
		return thing{name}, true, nil
	}
	return thing{}, false, []string{"alpha", "beta"}
}

// block is a handler that says when it has begun, and ends when it may.
type block struct{ begun, end chan struct{} }

func newBlock() *block {
	return &block{begun: make(chan struct{}, 100), end: make(chan struct{})}
}

func (b *block) answer(*question) *reply {
	b.begun <- struct{}{}
	<-b.end
	return &reply{}
}

func testOperations(b *block) []Operation {
	v := spec.NewValidator()
	ops := Operations(Config{Validator: v})
	text := as("text/plain", "A line.", func(r *reply) ([]byte, error) { return fmt.Appendf(nil, "third %v\n", r.Third), nil })
	ops = append(ops,
		post(Operation{Path: "/test/questions", Produces: []Representation{asJSON(), text}}, v, answerQuestion),
		post(Operation{Path: "/test/panics"}, v, func(*question) *reply { panic("secret of the house") }),
		post(Operation{Path: "/test/nans"}, v, func(*question) []float64 { return []float64{nan()} }),
		get(Operation{Path: "/test/things/{name}"}, findThing),
		list(Operation{Path: "/test/things"}, func() []thing { return []thing{{"alpha"}, {"beta"}} }),
	)
	if b != nil {
		ops = append(ops, post(Operation{Path: "/test/blocks"}, v, b.answer))
	}
	return ops
}

func nan() float64 { zero := 0.0; return zero / zero }

func testServer(cfg Config, b *block) *Server {
	return newServer(cfg.withDefaults(), testOperations(b))
}

// start runs the server on loopback, on HTTP/1.1, until the test ends. The
// handler is as it is in service: net/http knows its own writer, so it is not
// the server that is watched here but the answers that sendRaw reads.
func start(t *testing.T, s *Server) *httptest.Server {
	t.Helper()
	ts := httptest.NewServer(s.Handler())
	t.Cleanup(ts.Close)
	return ts
}

func newRequest(method, path, body string, header ...string) *http.Request {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(header); i += 2 {
		if header[i+1] == "" {
			r.Header.Del(header[i])
		} else {
			r.Header.Set(header[i], header[i+1])
		}
	}
	return r
}

// do asks a server in process. An answer that is not as the document says is a
// panic, as there are tests that ask from a goroutine of their own.
func do(s *Server, r *http.Request) *http.Response {
	w := httptest.NewRecorder()
	contract().Watch(panics{}, s.Handler()).ServeHTTP(w, r)
	return w.Result()
}

type panics struct{}

func (panics) Helper()                           {}
func (panics) Errorf(format string, args ...any) { panic(fmt.Sprintf(format, args...)) }

func read(t *testing.T, res *http.Response) string {
	t.Helper()
	b, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return string(b)
}

// requireProblem checks everything that holds for every problem (RFC 9457),
// and returns it.
func requireProblem(t *testing.T, res *http.Response, status int) Problem {
	t.Helper()
	body := read(t, res)
	require.Equal(t, status, res.StatusCode, body)
	// RFC 9457, section 3: the media type.
	require.Equal(t, "application/problem+json", res.Header.Get("Content-Type"), body)
	var p Problem
	require.NoError(t, json.Unmarshal([]byte(body), &p, json.RejectUnknownMembers(true)), body)
	// RFC 9457, section 3.1.2: status is the status of the answer.
	assert.Equal(t, res.StatusCode, p.Status)
	// RFC 9457, section 3.1.1 and 3.1.3: a type, and one title for each.
	kind := kindOf(strings.TrimPrefix(p.Type, "/problems/"))
	assert.Equal(t, kind.Type(), p.Type)
	produced.Store(kind.Slug, true)
	assert.Equal(t, kind.Title, p.Title)
	assert.Equal(t, kind.Status, p.Status)
	assert.NotEmpty(t, p.Detail)
	assert.Equal(t, res.Header.Get(headerRequestID), p.Instance)
	assert.NotEmpty(t, p.Instance)
	assert.Equal(t, "no-store", res.Header.Get("Cache-Control"))
	assert.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
	for _, f := range p.Errors {
		requireFault(t, f)
	}
	return p
}

// requireFault checks what holds for every fault: a pointer (RFC 6901,
// section 3), and words that a person understands.
func requireFault(t *testing.T, f spec.FieldError) {
	t.Helper()
	if f.Pointer != "" {
		require.Equal(t, byte('/'), f.Pointer[0], f.Pointer)
	}
	for rest := f.Pointer; strings.Contains(rest, "~"); {
		_, rest, _ = strings.Cut(rest, "~")
		require.True(t, strings.HasPrefix(rest, "0") || strings.HasPrefix(rest, "1"), f.Pointer)
	}
	require.NotEmpty(t, f.Rule)
	require.NotEmpty(t, f.Detail)
	for _, inside := range []string{"json:", "jsontext", "unmarshal", "Go ", "api.", "spec.", "float64", "reflect", "EOF"} {
		require.NotContains(t, f.Detail, inside)
	}
}

func eventually(t *testing.T, condition func() bool) {
	t.Helper()
	require.Eventually(t, condition, 5*time.Second, time.Millisecond)
}

// quiet fails the test when anything is logged at warning level or above.
func quiet(t *testing.T) *slog.Logger {
	return slog.New(slog.NewTextHandler(testWriter{t}, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

type testWriter struct{ t *testing.T }

func (w testWriter) Write(p []byte) (int, error) {
	w.t.Errorf("logged: %s", p)
	return len(p), nil
}
