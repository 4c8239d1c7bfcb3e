package client

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// ProblemError is an answer that is a problem (RFC 9457). Its Errors list every
// fault of the request with its JSON Pointer and what to write instead. An
// answer that the service did not write, of a proxy for instance, has the type
// about:blank.
type ProblemError struct {
	Problem
	// RetryAfter is how long to wait before the next try. 0 where the service
	// did not say.
	RetryAfter time.Duration
}

// Error gives the title and every fault in one line.
func (e *ProblemError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%d)", e.Title, e.Status)
	if len(e.Errors) == 0 {
		b.WriteString(": " + e.Detail)
	}
	for i, f := range e.Errors {
		separator := "; "
		if i == 0 {
			separator = ": "
		}
		b.WriteString(separator)
		if f.Pointer != "" {
			b.WriteString(f.Pointer + ": ")
		}
		b.WriteString(f.Detail)
	}
	return b.String()
}

func problemOf(in *http.Response, media string, text []byte) error {
	e := &ProblemError{}
	if seconds, err := strconv.Atoi(in.Header.Get("Retry-After")); err == nil && seconds > 0 {
		e.RetryAfter = time.Duration(seconds) * time.Second
	}
	if media == "application/problem+json" && json.Unmarshal(text, &e.Problem) == nil {
		return e
	}
	e.Problem = Problem{
		Type:   "about:blank", // RFC 9457, section 4.2.1: no more than the status says
		Title:  http.StatusText(in.StatusCode),
		Status: int32(in.StatusCode),
		Detail: fmt.Sprintf("the answer is %q, not a problem of the service", media),
	}
	return e
}
