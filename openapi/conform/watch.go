package conform

import (
	"bytes"
	"io"
	"net/http"
)

// TB is what a test, a benchmark, a fuzz target and a property have in common.
type TB interface {
	Helper()
	Errorf(format string, args ...any)
}

// Watch is a handler that answers as h does, and reports every answer that is
// not as the document says.
func (c *Checker) Watch(t TB, h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		t.Helper()
		seen := &recorder{ResponseWriter: w, status: http.StatusOK}
		x := Exchange{Method: r.Method, Path: r.URL.EscapedPath()}
		h.ServeHTTP(seen, r)
		x.Status, x.Header, x.Body = seen.status, w.Header(), seen.body.Bytes()
		if err := c.Judge(x); err != nil {
			t.Errorf("not as the document says: %v", err)
		}
	})
}

// recorder keeps what is written through it.
type recorder struct {
	http.ResponseWriter
	status int
	body   bytes.Buffer
}

func (r *recorder) WriteHeader(status int) {
	r.status = status
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(b []byte) (int, error) {
	r.body.Write(b)
	return r.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach what is underneath.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

// Transport sends requests by means of next, and reports every answer that is
// not as the document says.
func (c *Checker) Transport(t TB, next http.RoundTripper) http.RoundTripper {
	return transport{c, t, next}
}

type transport struct {
	checker *Checker
	t       TB
	next    http.RoundTripper
}

func (t transport) RoundTrip(r *http.Request) (*http.Response, error) {
	res, err := t.next.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	if err := t.checker.JudgeResponse(r.Method, r.URL.EscapedPath(), res); err != nil {
		t.t.Errorf("not as the document says: %v", err)
	}
	return res, nil
}

// CloseIdleConnections makes http.Client.CloseIdleConnections work.
func (t transport) CloseIdleConnections() {
	if c, ok := t.next.(interface{ CloseIdleConnections() }); ok {
		c.CloseIdleConnections()
	}
}

// JudgeResponse judges an answer as a client has it. The body is read to its
// end, and can be read again.
func (c *Checker) JudgeResponse(method, escapedPath string, res *http.Response) error {
	body, err := io.ReadAll(res.Body)
	if err != nil {
		return err
	}
	if err := res.Body.Close(); err != nil {
		return err
	}
	res.Body = io.NopCloser(bytes.NewReader(body))
	return c.Judge(Exchange{Method: method, Path: escapedPath, Status: res.StatusCode, Header: res.Header, Body: body})
}
