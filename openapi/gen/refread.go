package main

import (
	"encoding/json"
	"fmt"
	"strings"
)

// The document as the reference reads it back: from the finished text, so that
// the page cannot say what the document does not.
type (
	refDocument struct {
		Info struct {
			Title, Summary, Description, Version string
		}
		Tags       []struct{ Name, Description string }
		Paths      map[string]map[string]refOperation
		Components struct {
			Schemas    map[string]refSchema
			Responses  map[string]refResponse
			Headers    map[string]refParameter
			Parameters map[string]refParameter
		}
	}
	refOperation struct {
		ID          string `json:"operationId"`
		Summary     string
		Description string
		Tags        []string
		Parameters  []refParameter
		RequestBody *struct {
			Description string
			Content     map[string]struct{ Schema refSchema }
		}
		Responses map[string]refResponse
	}
	refParameter struct {
		Ref         string `json:"$ref"`
		Name, In    string
		Required    bool
		Description string
		Schema      refSchema
	}
	refResponse struct {
		Ref         string `json:"$ref"`
		Description string
		Headers     map[string]refParameter
		Content     map[string]struct {
			Schema   refSchema
			Examples map[string]refExample
		}
	}
	refExample struct {
		Summary string
		Value   json.RawMessage
		Request refRequest `json:"x-request"`
	}
	refRequest struct {
		Method, Path string
		Headers      map[string]string
		Body         json.RawMessage
		Text         string
		Draining     bool
	}
	refSchema struct {
		Ref              string `json:"$ref"`
		Type             string
		Format           string
		Description      string
		Enum             []string
		Properties       map[string]refSchema
		Required         []string
		Closed           *bool `json:"additionalProperties"`
		Items            *refSchema
		AllOf, OneOf     []refSchema
		Minimum, Maximum *json.Number
		MinItems         int
		MaxItems         int
		MinLength        int
		MaxLength        int
		UniqueItems      bool
		Pattern          string
		Unit             string          `json:"x-unit"`
		Known            []string        `json:"x-known-values"`
		Examples         json.RawMessage `json:"examples"`
		Grows            *bool           `json:"x-may-grow"`
	}
)

func readDocument(text []byte) (*refDocument, error) {
	d := &refDocument{}
	if err := json.Unmarshal(text, d); err != nil {
		return nil, fmt.Errorf("read the document for the reference: %w", err)
	}
	return d, nil
}

// lastOf is the name that a reference ends in.
func lastOf(ref string) string { return ref[strings.LastIndex(ref, "/")+1:] }

func (d *refDocument) parameter(p refParameter) refParameter {
	if p.Ref != "" {
		return d.Components.Parameters[lastOf(p.Ref)]
	}
	return p
}

func (d *refDocument) response(r refResponse) refResponse {
	if r.Ref != "" {
		return d.Components.Responses[lastOf(r.Ref)]
	}
	return r
}
