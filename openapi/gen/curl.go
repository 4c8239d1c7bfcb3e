package main

import (
	"bytes"
	"maps"
	"net/http"
	"slices"
	"strings"
)

// curlHost is where the README starts the service.
const curlHost = "http://127.0.0.1:8080"

// curl is a request as a command for a POSIX shell. The name of the request
// is given only where the answer repeats it.
func curl(r refRequest, answer []byte) (string, error) {
	var b strings.Builder
	b.WriteString("curl -sS")
	if r.Method != http.MethodGet && r.Method != http.MethodPost {
		b.WriteString(" -X " + r.Method)
	}
	b.WriteString(" " + quoteIfNeeded(curlHost+r.Path))
	for _, name := range slices.Sorted(maps.Keys(r.Headers)) {
		value := r.Headers[name]
		if name == "X-Request-Id" && !bytes.Contains(answer, []byte(value)) {
			continue
		}
		b.WriteString(" \\\n  -H " + quote(name+": "+value))
	}
	body := r.Text
	if body == "" && len(r.Body) > 0 {
		text, err := layout(r.Body)
		if err != nil {
			return "", err
		}
		body = text
	}
	if body != "" {
		b.WriteString(" \\\n  --data " + quote(body))
	}
	return b.String(), nil
}

// quote quotes for a POSIX shell, in which nothing inside single quotes is
// special but the single quote.
func quote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

func quoteIfNeeded(s string) string {
	if strings.ContainsAny(s, "?&{}* '\"$") {
		return quote(s)
	}
	return s
}
