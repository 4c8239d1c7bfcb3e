package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
)

func TestSameRequestSameBytes(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	want := read(t, do(s, newRequest(http.MethodPost, questions, goodQuestion)))
	assert.True(t, strings.HasSuffix(want, "}\n"))
	for range 1000 {
		res := do(s, newRequest(http.MethodPost, questions, goodQuestion))
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Equal(t, want, read(t, res))
		require.NotContains(t, want, res.Header.Get(headerRequestID))
	}
}

func TestAnswerIsWholeAndCarriesItsHeaders(t *testing.T) {
	res := do(testServer(Config{Logger: quiet(t)}, nil), newRequest(http.MethodPost, questions, goodQuestion, "Content-Type", "Application/JSON; Charset=UTF-8"))
	require.Equal(t, http.StatusOK, res.StatusCode)
	body := read(t, res)
	assert.Equal(t, `{"question":{"name":"a","knob":{"count":3,"size_mm":2.5,"color":"red","notches_v":[1,2]}},"third":0.3333333333333333,"list":[]}`+"\n", body)
	for name, want := range map[string]string{
		"Content-Type":            "application/json",
		"Content-Length":          fmt.Sprint(len(body)),
		"Cache-Control":           "no-store",
		"Vary":                    "Accept",
		"X-Content-Type-Options":  "nosniff",
		"Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
		"ETag":                    "",
	} {
		assert.Equal(t, want, res.Header.Get(name), name)
	}
}

func TestAWholeNumberWithAPointIsAnsweredAsOneWithout(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	plain := read(t, do(s, newRequest(http.MethodPost, questions, goodQuestion)))
	point := read(t, do(s, newRequest(http.MethodPost, questions, strings.Replace(goodQuestion, ":3,", ":3.0,", 1))))
	assert.Equal(t, plain, point)
}

func TestChargePlansAreAnswered(t *testing.T) {
	s := New(Config{Planner: charge.NewPlanner(cell.NewTable(), rule.All()), Logger: quiet(t)})
	res := do(s, newRequest(http.MethodPost, plans, `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`))
	assert.Equal(t, http.StatusOK, res.StatusCode)
}

func TestRequestIDIsTakenOverWhereItIsOne(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for _, id := range []string{"a", "A-1_b.2", strings.Repeat("x", 64)} {
		res := do(s, newRequest(http.MethodGet, "/nowhere", "", headerRequestID, id))
		assert.Equal(t, id, res.Header.Get(headerRequestID))
		assert.Equal(t, id, requireProblem(t, res, http.StatusNotFound).Instance)
	}
	seen := map[string]bool{}
	for _, id := range []string{"", " ", "a b", "a/b", "é", "a:b", "<x>", strings.Repeat("x", 65)} {
		res := do(s, newRequest(http.MethodGet, "/livez", "", headerRequestID, id))
		made := res.Header.Get(headerRequestID)
		assert.True(t, isRequestID(made), made)
		assert.NotEqual(t, id, made)
		assert.False(t, seen[made])
		seen[made] = true
	}
	r := newRequest(http.MethodGet, "/livez", "")
	r.Header[headerRequestID] = []string{"a", "b"}
	assert.Len(t, do(s, r).Header.Get(headerRequestID), 26)
}

// RFC 9110, sections 8.8.3, 13.1.2 and 15.4.5.
func TestCatalogsCarryAnEntityTag(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	res := do(s, newRequest(http.MethodGet, "/test/things/alpha", ""))
	require.Equal(t, http.StatusOK, res.StatusCode)
	tag := res.Header.Get("ETag")
	assert.Regexp(t, `^"[0-9a-f]{32}"$`, tag)
	assert.Equal(t, "no-cache", res.Header.Get("Cache-Control"))
	assert.Equal(t, `{"name":"alpha"}`+"\n", read(t, res))
	assert.Equal(t, tag, do(s, newRequest(http.MethodGet, "/test/things/alpha", "")).Header.Get("ETag"))
	assert.NotEqual(t, tag, do(s, newRequest(http.MethodGet, "/test/things/beta", "")).Header.Get("ETag"))

	for _, same := range []string{tag, "W/" + tag, `"x", ` + tag, "*"} {
		res := do(s, newRequest(http.MethodGet, "/test/things/alpha", "", "If-None-Match", same))
		assert.Equal(t, http.StatusNotModified, res.StatusCode, same)
		assert.Equal(t, tag, res.Header.Get("ETag"))
		assert.Equal(t, "Accept", res.Header.Get("Vary"))
		assert.Empty(t, read(t, res))
	}
	for _, other := range []string{`"x"`, strings.Trim(tag, `"`), ""} {
		assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodGet, "/test/things/alpha", "", "If-None-Match", other)).StatusCode, other)
	}
}

// RFC 9110, section 9.3.2: HEAD is GET without the content.
func TestHeadIsGetWithoutTheBody(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for path, status := range map[string]int{"/livez": 200, "/readyz": 200, "/test/things": 200, "/test/things/alpha": 200, "/problems/not-found": 200, "/test/things/x": 404, "/nowhere": 404} {
		get, head := do(s, newRequest(http.MethodGet, path, "")), do(s, newRequest(http.MethodHead, path, ""))
		assert.Equal(t, status, head.StatusCode, path)
		assert.Empty(t, read(t, head))
		for _, name := range []string{"Content-Type", "ETag", "Cache-Control", "Vary"} {
			assert.Equal(t, get.Header.Get(name), head.Header.Get(name), path)
		}
		if status == 200 {
			assert.Equal(t, get.Header.Get("Content-Length"), head.Header.Get("Content-Length"), path)
		}
	}
	assert.Equal(t, http.StatusMethodNotAllowed, do(s, newRequest(http.MethodHead, plans, "")).StatusCode)
}

// RFC 9110, section 9.3.7.
func TestOptionsListTheMethods(t *testing.T) {
	res := do(testServer(Config{Logger: quiet(t)}, nil), newRequest(http.MethodOptions, plans, ""))
	assert.Equal(t, http.StatusNoContent, res.StatusCode)
	assert.Equal(t, "OPTIONS, POST", res.Header.Get("Allow"))
}

func TestEveryKindOfProblemHasAPage(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	kinds, titles := Kinds(), map[string]bool{}
	require.GreaterOrEqual(t, len(kinds), 12)
	for _, k := range kinds {
		assert.False(t, titles[k.Title], "two kinds with the title %q", k.Title)
		titles[k.Title] = true
		res := do(s, newRequest(http.MethodGet, k.Type(), ""))
		require.Equal(t, http.StatusOK, res.StatusCode, k.Slug)
		assert.Equal(t, fmt.Sprintf(`{"type":%q,"title":%q,"status":%d,"meaning":%q}`+"\n", k.Type(), k.Title, k.Status, k.Meaning), read(t, res))
	}
}

func TestAPanicIsOurFaultAndTellsNothing(t *testing.T) {
	for path, logged := range map[string]string{"/test/panics": "secret of the house", "/test/nans": "encode the answer"} {
		var log bytes.Buffer
		s := testServer(Config{Logger: slog.New(slog.NewTextHandler(&log, nil))}, nil)
		res := do(s, newRequest(http.MethodPost, path, goodQuestion, headerRequestID, "id-7"))
		p := requireProblem(t, res, http.StatusInternalServerError)
		assert.NotContains(t, p.Detail, "secret")
		assert.Contains(t, log.String(), logged)
		assert.Contains(t, log.String(), "request_id=id-7")
		assert.Contains(t, log.String(), "route="+path)
		// The server goes on.
		assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodPost, questions, goodQuestion)).StatusCode)
	}
}

func TestReadyzTurnsWhenDraining(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for _, path := range []string{"/livez", "/readyz"} {
		// A probe that accepts nothing is answered all the same.
		res := do(s, newRequest(http.MethodGet, path, "", "Accept", "image/png"))
		assert.Equal(t, http.StatusOK, res.StatusCode)
		assert.Equal(t, `{"status":"ok"}`+"\n", read(t, res))
	}
	s.Drain()
	p := requireProblem(t, do(s, newRequest(http.MethodGet, "/readyz", "")), http.StatusServiceUnavailable)
	assert.Equal(t, "/problems/stopping", p.Type)
	assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodGet, "/livez", "")).StatusCode)
	assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodPost, questions, goodQuestion)).StatusCode)
}

// untouched is a body that must not be read.
type untouched struct{ t *testing.T }

func (u untouched) Read([]byte) (int, error) {
	u.t.Error("the body was read")
	return 0, io.EOF
}

func TestOverload(t *testing.T) {
	b := newBlock()
	s := testServer(Config{Logger: quiet(t), MaxInFlight: 2, MaxQueue: 1, QueueWait: time.Minute}, b)
	var working sync.WaitGroup
	answers := make(chan *http.Response, 3)
	for range 3 {
		working.Go(func() { answers <- do(s, newRequest(http.MethodPost, "/test/blocks", goodQuestion)) })
	}
	<-b.begun
	<-b.begun
	eventually(t, func() bool { return len(s.gate.queue) == 1 })

	r := httptest.NewRequest(http.MethodPost, questions, untouched{t})
	r.Header.Set("Content-Type", "application/json")
	res := do(s, r)
	p := requireProblem(t, res, http.StatusServiceUnavailable)
	assert.Equal(t, "/problems/overloaded", p.Type)
	assert.Equal(t, "1", res.Header.Get("Retry-After"))
	for _, path := range []string{"/livez", "/readyz"} {
		assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodGet, path, "")).StatusCode)
	}

	close(b.end)
	working.Wait()
	close(answers)
	for res := range answers {
		assert.Equal(t, http.StatusOK, res.StatusCode)
	}
	assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodPost, questions, goodQuestion)).StatusCode)
	assert.Empty(t, s.gate.slots)
	assert.Empty(t, s.gate.queue)
}

func TestARequestDoesNotWaitForItsTurnForever(t *testing.T) {
	g := newGate(1, 1, time.Millisecond)
	require.NoError(t, g.enter(t.Context()))
	var overloaded *overloadedError
	assert.ErrorAs(t, g.enter(t.Context()), &overloaded)
	assert.Empty(t, g.queue)
	g.leave()
	require.NoError(t, g.enter(t.Context()))
}

func TestAClientThatLeavesTheQueueIsNoFault(t *testing.T) {
	s := testServer(Config{Logger: quiet(t), MaxInFlight: 1, QueueWait: time.Minute}, nil)
	require.NoError(t, s.gate.enter(t.Context()))
	ctx, leave := context.WithCancel(t.Context())
	done := make(chan *http.Response)
	go func() { done <- do(s, newRequest(http.MethodPost, questions, goodQuestion).WithContext(ctx)) }()
	eventually(t, func() bool { return len(s.gate.queue) == 1 })
	leave()
	assert.Equal(t, http.StatusBadRequest, (<-done).StatusCode)
	assert.Empty(t, s.gate.queue)
	s.gate.leave()
}

// deaf is a client that has left before its answer.
type deaf struct{ *httptest.ResponseRecorder }

func (deaf) Write([]byte) (int, error) { return 0, errors.New("connection reset by peer") }

func TestAClientThatLeavesBeforeItsAnswerIsNoFault(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for _, r := range []*http.Request{
		newRequest(http.MethodPost, questions, goodQuestion),
		newRequest(http.MethodPost, questions, "{"),
		newRequest(http.MethodGet, "/v1/rules", ""),
	} {
		contract().Watch(t, s.Handler()).ServeHTTP(deaf{httptest.NewRecorder()}, r)
	}
}

// failing is a body that breaks off.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func TestABodyThatBreaksOff(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for _, err := range []error{io.ErrUnexpectedEOF, errors.New("connection reset by peer"), context.Canceled} {
		r := httptest.NewRequest(http.MethodPost, questions, failing{err})
		r.Header.Set("Content-Type", "application/json")
		p := requireProblem(t, do(s, r), http.StatusBadRequest)
		assert.Equal(t, "/problems/unreadable-body", p.Type)
		assert.NotContains(t, p.Detail, "reset")
	}
}

func TestTheTableIsComplete(t *testing.T) {
	ids := map[string]bool{}
	ops := Operations(Config{})
	require.GreaterOrEqual(t, len(ops), 4)
	for _, op := range ops {
		assert.NotEmpty(t, op.Method, op.Path)
		assert.NotEmpty(t, op.Summary, op.Path)
		assert.NotEmpty(t, op.Description, op.Path)
		assert.NotEmpty(t, op.Tag, op.Path)
		assert.NotEmpty(t, op.Produces, op.Path)
		assert.NotNil(t, op.Answer, op.Path)
		assert.Equal(t, op.Method == http.MethodPost, op.Request != nil, op.Path)
		assert.False(t, ids[op.ID], op.ID)
		ids[op.ID] = true
	}
}

func BenchmarkServer(b *testing.B) {
	s := testServer(Config{}, nil)
	for _, c := range []struct{ name, method, path, body string }{
		{"question", http.MethodPost, questions, goodQuestion},
		{"refused", http.MethodPost, questions, `{"knob":{"count":"3"}}`},
		{"catalog", http.MethodGet, "/test/things/alpha", ""},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s.Handler().ServeHTTP(httptest.NewRecorder(), newRequest(c.method, c.path, c.body))
			}
		})
	}
}
