package api

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"

	"github.com/labstack/echo/v4"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Problem is the answer to a request that could not be served (RFC 9457).
type Problem struct {
	// Type is a URI reference to the explanation of this kind of problem.
	Type string `json:"type" validate:"max=128" format:"uri-reference"`
	// Title names the kind of problem; it is the same for all of a type.
	Title string `json:"title" validate:"max=100"`
	// Status is the HTTP status of the answer, 400 to 599.
	Status int `json:"status" validate:"gte=400,lte=599" unit:"HTTP status"`
	// Detail says what is wrong with this request and what to do about it.
	Detail string `json:"detail" validate:"max=4000"`
	// Instance is the request id, as in the X-Request-Id header.
	Instance string `json:"instance" validate:"max=64"`
	// Errors lists the faults of the request, at most 100.
	Errors []spec.FieldError `json:"errors,omitempty" validate:"max=100"`
}

// MalformedError is a body that is not I-JSON (RFC 7493).
type MalformedError struct {
	// Faults holds the one fault at which reading ended.
	Faults []spec.FieldError
}

func (e *MalformedError) Error() string { return sum(e.Faults) }

// InvalidError is a request that is well-formed but breaks the schema or a
// stated limit.
type InvalidError struct {
	// Faults lists all that is wrong, up to a limit.
	Faults []spec.FieldError
}

func (e *InvalidError) Error() string { return sum(e.Faults) }

func sum(faults []spec.FieldError) string {
	if len(faults) == 1 {
		return faults[0].Detail
	}
	return fmt.Sprintf("the request has %d faults; each is listed in errors", len(faults))
}

// UnknownNameError is a path that names an entry a catalog does not have.
type UnknownNameError struct {
	// Name is the name asked for.
	Name string
	// Legal lists the names there are.
	Legal []string
}

func (e *UnknownNameError) Error() string {
	s := fmt.Sprintf("there is nothing here by the name %q", spec.Clip(e.Name))
	if n := spec.Nearest(e.Name, e.Legal); n != "" {
		return s + fmt.Sprintf("; did you mean %q?", n)
	}
	const few = 12
	if len(e.Legal) <= few {
		return s + "; there is " + strings.Join(e.Legal, ", ")
	}
	return s
}

type (
	contentCodingError struct{ coding string }
	mediaTypeError     struct{ received []string }
	notAcceptableError struct {
		offered   []string
		parameter string // the query parameter that leaves no more
	}
	unreadableError struct{ cause error }
	overloadedError struct{}
	drainingError   struct{}
	panicError      struct {
		value any
		stack []byte
	}
)

func (e *contentCodingError) Error() string {
	return fmt.Sprintf("the body has Content-Encoding %q; send it as it is, without the header", spec.Clip(e.coding))
}

func (e *mediaTypeError) Error() string {
	switch len(e.received) {
	case 0:
		return "the request has no Content-Type; send application/json"
	case 1:
		return fmt.Sprintf("the request has Content-Type %q; send application/json", spec.Clip(e.received[0]))
	}
	return "the request has several Content-Type headers; send one, application/json"
}

func (e *notAcceptableError) Error() string {
	s := "the Accept header admits none of what there is: " + strings.Join(e.offered, ", ")
	if e.parameter != "" {
		s += "; leave out the query parameter " + e.parameter + ", or accept that"
	}
	return s
}

func (e *unreadableError) Error() string { return "the body could not be read to its end" }
func (e *unreadableError) Unwrap() error { return e.cause }

func (e *overloadedError) Error() string {
	return "too many requests are being worked on; try again after the time in Retry-After"
}

func (e *drainingError) Error() string { return "the service is stopping; send requests elsewhere" }

func (e *panicError) Error() string { return fmt.Sprintf("panic: %v", e.value) }

// fail answers a request with the problem that an error stands for.
func (s *Server) fail(err error, c echo.Context) {
	r, h := c.Request(), c.Response().Header()
	id := h.Get(headerRequestID)
	kind, detail := s.judge(err, r, h)
	if kind.Slug == kindInternal {
		attrs := []any{"request_id", id, "route", c.Path(), "error", err}
		var p *panicError
		if errors.As(err, &p) {
			attrs = append(attrs, "stack", string(p.stack))
		}
		s.cfg.Logger.ErrorContext(r.Context(), "request failed", attrs...)
	}
	if c.Response().Committed {
		return
	}
	problem := Problem{Type: kind.Type(), Title: kind.Title, Status: kind.Status, Detail: detail, Instance: id, Errors: FaultsOf(err)}
	body, err := encodeJSON(problem)
	if err != nil {
		s.cfg.Logger.ErrorContext(r.Context(), "problem not encoded", "request_id", id, "error", err)
		body = nil
	}
	h.Set("Cache-Control", "no-store")
	write(c, kind.Status, "application/problem+json", body)
}

// judge is the one place where an error becomes a status: by its type, never
// by its text. It also sets the headers that belong to the status.
func (s *Server) judge(err error, r *http.Request, h http.Header) (Kind, string) {
	var (
		malformed     *MalformedError
		invalid       *InvalidError
		unknownName   *UnknownNameError
		coding        *contentCodingError
		media         *mediaTypeError
		notAcceptable *notAcceptableError
		tooLarge      *http.MaxBytesError
		timeout       net.Error
		unreadable    *unreadableError
		overloaded    *overloadedError
		draining      *drainingError
		router        *echo.HTTPError
	)
	switch {
	case errors.As(err, &malformed):
		return kindOf(kindMalformed), malformed.Error()
	case errors.As(err, &invalid):
		return kindOf(kindInvalid), invalid.Error()
	case errors.As(err, &unknownName):
		return kindOf(kindNotFound), unknownName.Error()
	case errors.As(err, &media):
		h.Set("Accept", mediaJSON) // RFC 9110, section 15.5.16
		return kindOf(kindMediaType), media.Error()
	case errors.As(err, &coding):
		h.Set("Accept-Encoding", "identity") // RFC 9110, section 12.5.3
		return kindOf(kindMediaType), coding.Error()
	case errors.As(err, &notAcceptable):
		return kindOf(kindNotAcceptable), notAcceptable.Error()
	case errors.As(err, &tooLarge):
		return kindOf(kindTooLarge), fmt.Sprintf("the body is larger than %d bytes; send less at once", tooLarge.Limit)
	case errors.Is(err, os.ErrDeadlineExceeded), errors.As(err, &timeout) && timeout.Timeout():
		h.Set("Connection", "close") // RFC 9110, section 15.5.9
		return kindOf(kindSlow), "the body did not arrive in time; send it again"
	case errors.Is(err, context.Canceled): // the client has left; nobody reads this
		return kindOf(kindUnreadable), "the request was given up"
	case errors.As(err, &unreadable):
		return kindOf(kindUnreadable), unreadable.Error()
	case errors.As(err, &overloaded):
		h.Set("Retry-After", "1")
		return kindOf(kindOverloaded), overloaded.Error()
	case errors.As(err, &draining):
		h.Set("Retry-After", "5")
		return kindOf(kindStopping), draining.Error()
	case errors.As(err, &router) && router.Code == http.StatusNotFound:
		return kindOf(kindNotFound), s.noSuchPath(r.URL.Path)
	case errors.As(err, &router) && router.Code == http.StatusMethodNotAllowed:
		return kindOf(kindMethod), fmt.Sprintf("%s is not answered here; use one of %s", spec.Clip(r.Method), h.Get("Allow"))
	}
	return kindOf(kindInternal), "something went wrong inside the service; it has been logged under the request id"
}

// FaultsOf lists the faults that a Decoder found, where err is its error.
func FaultsOf(err error) []spec.FieldError {
	var malformed *MalformedError
	var invalid *InvalidError
	switch {
	case errors.As(err, &malformed):
		return malformed.Faults
	case errors.As(err, &invalid):
		return invalid.Faults
	}
	return nil
}

func (s *Server) noSuchPath(path string) string {
	detail := fmt.Sprintf("there is nothing at %q", spec.Clip(path))
	if n := spec.Nearest(path, s.paths); n != "" {
		detail += fmt.Sprintf("; did you mean %q?", n)
	}
	return detail
}
