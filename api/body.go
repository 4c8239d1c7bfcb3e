package api

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// checkHeader refuses what the header alone shows not to be a body we read:
// it is looked at before a byte of the body is.
func checkHeader(r *http.Request, limit int64) error {
	// Nothing is inflated, so that no small body can turn into a large one.
	for _, coding := range r.Header.Values("Content-Encoding") {
		if !strings.EqualFold(strings.TrimSpace(coding), "identity") {
			return &contentCodingError{coding: coding}
		}
	}
	values := r.Header.Values("Content-Type")
	if len(values) != 1 || !isJSON(values[0]) {
		return &mediaTypeError{received: values}
	}
	if r.ContentLength > limit {
		return &http.MaxBytesError{Limit: limit}
	}
	return nil
}

func isJSON(contentType string) bool {
	media, params, err := mime.ParseMediaType(contentType)
	if err != nil || media != mediaJSON {
		return false
	}
	for name, value := range params {
		if name != "charset" || !strings.EqualFold(value, "utf-8") {
			return false
		}
	}
	return true
}

// readBody reads a whole body that is within the limit. Memory is taken as
// the bytes arrive, not as the header announces them.
func readBody(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, error) {
	const first = 4 << 10
	var b bytes.Buffer
	b.Grow(int(min(max(r.ContentLength, 0), first)) + bytes.MinRead)
	if _, err := b.ReadFrom(http.MaxBytesReader(w, r.Body, limit)); err != nil {
		return nil, &unreadableError{cause: err}
	}
	return b.Bytes(), nil
}

// ReadDocument reads a whole document from a file or a pipe, under the same
// limit as a body.
func ReadDocument(r io.Reader, limit int64) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("read the document: %w", err)
	}
	if int64(len(b)) > limit {
		return nil, fmt.Errorf("the document is larger than %s bytes", spec.Plain(float64(limit)))
	}
	return b, nil
}
