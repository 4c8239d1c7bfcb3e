package conform

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"

	"github.com/go-json-experiment/json/jsontext"
)

// Contradiction is a requirement between fields, which a schema cannot state
// without becoming unreadable: a body that breaks it and nothing else is valid
// by the schema, and refused by the service.
type Contradiction struct {
	// Rule is the rule of the fault.
	Rule string
	// Reason says why it is not in the schema.
	Reason string
}

// Contradictions lists them all.
func Contradictions() []Contradiction {
	return []Contradiction{
		{"one-start-of-charge", "at most one of three members; a oneOf of absences gives clients three types of pack"},
		{"one-goal", "at most one of three members, as above"},
		{"count-matches-cells", "the length of a list is the value of another member"},
		{"voltage-per-cell", "the bound is a multiple of another member"},
		{"made-before-as-of", "one date bounds another"},
		{"min-not-above-max", "one number bounds another"},
		{"step-not-above-max", "one number bounds another"},
		{"load-of-its-kind", "which members belong depends on the value of another; a oneOf by kind gives clients four types of load"},
		{"segment-has-one-load", "one of two members; a oneOf of absences gives clients two types of segment"},
		{"cycle-draws", "of a list at least one entry has a number above 0 in either of two members"},
		{"cycle-repeats-too-often", "the bound follows from capacity, durations and currents together"},
		{"installed-or-beside", "two members exclude each other only where both are true"},
		{"no-end-voltage", "a member of the request is excluded by a value inside the pack"},
		{"stored-one-by-one", "one question has no use for a member that it shares with another"},
		{"cell-of-the-pack", "the bound is the value of another member"},
		{"no-taper", "a member of the request is excluded by a value inside the pack"},
	}
}

// Agree says where the service and the schema of its document judge a body
// differently: what is not I-JSON is answered 400, what breaks the schema 4xx,
// and what is valid 200, or 422 with contradictions between fields alone.
func (c *Checker) Agree(escapedPath string, body []byte, status int, answered []byte) error {
	if !IJSON(body) {
		if status != http.StatusBadRequest {
			return fmt.Errorf("what is not I-JSON is answered %d: %s", status, short(body))
		}
		return nil
	}
	if status == http.StatusBadRequest {
		return fmt.Errorf("I-JSON is answered 400: %s\n%s", short(body), short(answered))
	}
	invalid := c.JudgeRequest(http.MethodPost, escapedPath, body)
	switch {
	case invalid != nil && (status < 400 || status > 499):
		return fmt.Errorf("the document refuses what is answered %d: %w\n%s", status, invalid, short(body))
	case invalid == nil && status == http.StatusUnprocessableEntity:
		return contradicted(body, answered)
	case invalid == nil && status != http.StatusOK:
		return fmt.Errorf("what the document lets through is answered %d: %s\n%s", status, short(body), short(answered))
	}
	return nil
}

func contradicted(body, answered []byte) error {
	var p struct{ Errors []struct{ Rule string } }
	if err := json.Unmarshal(answered, &p); err != nil || len(p.Errors) == 0 {
		return fmt.Errorf("422 without faults: %s", short(answered))
	}
	for _, f := range p.Errors {
		if !slices.ContainsFunc(Contradictions(), func(k Contradiction) bool { return k.Rule == f.Rule }) {
			return fmt.Errorf("what the document lets through is refused by %q, which is no contradiction between fields: %s\n%s", f.Rule, short(body), short(answered))
		}
	}
	return nil
}

// IJSON says whether a text is I-JSON (RFC 7493) that the service reads: each
// name once in an object, UTF-8, numbers within a double, at most 16 deep.
func IJSON(text []byte) bool {
	const deepest = 16
	d := jsontext.NewDecoder(bytes.NewReader(text))
	for first := true; ; first = false {
		if !first && d.StackDepth() == 0 {
			_, err := d.ReadToken()
			return err == io.EOF
		}
		token, err := d.ReadToken()
		if err != nil || d.StackDepth() > deepest {
			return false
		}
		if token.Kind() == '0' {
			x, err := strconv.ParseFloat(token.String(), 64)
			if err != nil || math.IsInf(x, 0) {
				return false
			}
		}
	}
}
