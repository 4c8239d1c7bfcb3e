package api

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// seen is what a first look at the bytes of a body shows.
type seen struct {
	null    bool // outside strings there is an n: a null, or a syntax error
	empty   bool // there is an empty string, which is neither a word of an enum nor a date
	objects int
}

// prescan looks at a body before it is decoded, and refuses one that is
// nested too deep.
func prescan(body []byte) (seen, error) {
	var s seen
	depth := 0
	for i := 0; i < len(body); i++ {
		switch body[i] {
		case '"':
			end := closingQuote(body, i+1)
			s.empty = s.empty || end == i+1
			i = end
		case '{':
			s.objects++
			depth++
		case '[':
			depth++
		case '}', ']':
			depth--
		case 'n':
			s.null = true
		}
		if depth > maxDepth {
			return s, &MalformedError{Faults: []spec.FieldError{{
				Rule:   "depth",
				Detail: fmt.Sprintf("%s: objects and lists are nested more than %d deep", position(body, i), maxDepth),
			}}}
		}
	}
	return s, nil
}

// closingQuote is the index of the quote that ends the string beginning at i,
// or the length of the body.
func closingQuote(body []byte, i int) int {
	for i < len(body) && body[i] != '"' {
		if body[i] == '\\' {
			i++
		}
		i++
	}
	return min(i, len(body))
}
