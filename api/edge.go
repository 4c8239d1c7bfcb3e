package api

import (
	"crypto/rand"
	"net/http"
	"runtime/debug"

	"github.com/labstack/echo/v4"
)

const headerRequestID = "X-Request-Id"

// edge is what every request passes first, known path or not: it names the
// request, sets the headers that every answer carries, and turns a panic into
// an error.
func (s *Server) edge(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		r, h := c.Request(), c.Response().Header()
		h.Set(headerRequestID, requestID(r))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		h.Set("Vary", "Accept")
		// RFC 9112 section 6.1: after a request with both Content-Length and
		// Transfer-Encoding the connection must be closed. net/http drops the
		// length and keeps the connection (golang/go #80942), so every chunked
		// request ends its connection.
		if len(r.TransferEncoding) > 0 {
			h.Set("Connection", "close")
		}
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler:
				panic(v) // net/http's own way of cutting an answer short
			default:
				err = &panicError{value: v, stack: debug.Stack()}
			}
		}()
		return next(c)
	}
}

// requestID takes over the caller's name of the request where it is one, and
// makes a name up otherwise.
func requestID(r *http.Request) string {
	if values := r.Header.Values(headerRequestID); len(values) == 1 && isRequestID(values[0]) {
		return values[0]
	}
	return rand.Text()
}

// isRequestID accepts only what can stand in a log line, in a header and in a
// URI reference as it is.
func isRequestID(s string) bool {
	if len(s) < 1 || len(s) > 64 {
		return false
	}
	for i := range len(s) {
		switch b := s[i]; {
		case 'a' <= b && b <= 'z', 'A' <= b && b <= 'Z', '0' <= b && b <= '9', b == '.', b == '_', b == '-':
		default:
			return false
		}
	}
	return true
}
