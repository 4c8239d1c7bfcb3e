package api

import (
	"fmt"

	"github.com/go-json-experiment/json"
)

// Representation is one form in which an answer can be sent.
type Representation struct {
	// MediaType is the media type without parameters.
	MediaType string
	// Description says what is in it. Left out, it is the whole answer, as JSON.
	Description string
	// Encode writes the answer in that form.
	Encode func(answer any) ([]byte, error)
}

const (
	mediaJSON = "application/json"
	mediaText = "text/plain"
)

// asJSON is the form that every operation has.
func asJSON() Representation { return Representation{MediaType: mediaJSON, Encode: encodeJSON} }

// as is a form that a renderer makes from one type of answer.
func as[Ans any](mediaType, description string, render func(Ans) ([]byte, error)) Representation {
	return Representation{MediaType: mediaType, Description: description, Encode: func(answer any) ([]byte, error) {
		a, ok := answer.(Ans)
		if !ok {
			return nil, fmt.Errorf("a renderer of %s was given %T", mediaType, answer)
		}
		return render(a)
	}}
}

// inWords are the forms of an answer that people read as well: JSON, and plain
// text.
func inWords[Ans any](what string, render func(Ans) ([]byte, error)) []Representation {
	return []Representation{
		asJSON(),
		as(mediaText, what+" It is written for people, and its wording may change; a program reads the JSON. A curve is not in it.", render),
	}
}

// encodeJSON ends the text with a newline, so that it reads well in a
// terminal and in a file.
func encodeJSON(v any) ([]byte, error) {
	b, err := json.Marshal(v, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("encode the answer: %w", err)
	}
	return append(b, '\n'), nil
}
