package main

import (
	"encoding/json"
	"fmt"
)

// ordered is a JSON value that is written as it was read, its members in the
// order in which they stood.
type ordered struct {
	text  json.RawMessage
	value any
}

func (o *ordered) read(text []byte) error {
	if err := json.Unmarshal(text, &o.value); err != nil {
		return fmt.Errorf("read a JSON value: %w", err)
	}
	o.text = text
	return nil
}

// MarshalJSON writes the value.
func (o ordered) MarshalJSON() ([]byte, error) { return o.text, nil }
