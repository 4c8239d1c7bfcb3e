package api

import (
	"errors"
	"reflect"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	// maxDepth is how deep objects and lists may be nested. No document here
	// comes near it.
	maxDepth = 16
	// manyObjects is the number of objects from which a body is looked through
	// before anything is built from it, so that "{},{},…" in a list that takes
	// a few entries cannot turn each three bytes into a few hundred.
	manyObjects = 256
	// mostFaults is the number of faults that one answer lists.
	mostFaults = 100
)

// Decoder reads documents of type T: strictly, and with everything that is
// wrong with a document reported together. It is safe for concurrent use.
//
// Most documents are right, and are read in one pass. Only a document that is
// not, or that holds a null, is gone through token by token.
type Decoder[T any] struct {
	root      *root
	validator *spec.Validator
}

// NewDecoder builds a Decoder of documents of type T.
func NewDecoder[T any](v *spec.Validator) *Decoder[T] {
	return &Decoder[T]{root: rootOf(reflect.TypeFor[T]()), validator: v}
}

// Decode reads one document. The error is a *MalformedError where the body is
// not I-JSON, and an *InvalidError where it is but breaks the schema or a
// stated limit.
func (d *Decoder[T]) Decode(body []byte) (*T, error) {
	seen, err := prescan(body)
	if err != nil {
		return nil, err
	}
	if seen.null || seen.empty || seen.objects > manyObjects {
		return d.collect(body)
	}
	doc := new(T)
	if err := json.Unmarshal(body, doc, json.RejectUnknownMembers(true)); err != nil {
		var syntax *jsontext.SyntacticError
		if errors.As(err, &syntax) {
			return nil, malformed(body, syntax)
		}
		return d.collect(body)
	}
	return d.judge(doc, &collector{})
}

// collect reads a document token by token, collecting what is wrong with it.
func (d *Decoder[T]) collect(body []byte) (*T, error) {
	c := newCollector(body, d.root)
	cleaned, err := c.document()
	if err != nil {
		return nil, err
	}
	if cleaned == nil || c.hidden {
		return nil, &InvalidError{Faults: c.report()}
	}
	doc := new(T)
	if err := json.Unmarshal(cleaned, doc, json.RejectUnknownMembers(true)); err != nil {
		// Left to this point are types that read themselves.
		var semantic *json.SemanticError
		if errors.As(err, &semantic) {
			c.add(semantic.JSONPointer, "type", nameOf(semantic.JSONPointer)+" cannot be read as what it should be")
		} else {
			c.add("", "type", "the body cannot be read as what it should be")
		}
		return nil, &InvalidError{Faults: c.report()}
	}
	return d.judge(doc, c)
}

// judge validates a document that could be built, and adds what it finds to
// what was found before.
func (d *Decoder[T]) judge(doc *T, c *collector) (*T, error) {
	collected := len(c.faults)
	for _, f := range d.validator.Validate(doc) {
		if !c.covers(f, collected) {
			c.faults = append(c.faults, f)
		}
	}
	if len(c.faults) > 0 {
		return nil, &InvalidError{Faults: c.report()}
	}
	return doc, nil
}
