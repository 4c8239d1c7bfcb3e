// Command gen writes the OpenAPI document from the table of operations, the
// types it names, their comments and their validator tags. Its examples are
// asked of the service itself. From the document it writes the reference for
// people.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/api"
)

func main() { os.Exit(run(os.Args[1:], os.Stderr)) }

func run(args []string, stderr io.Writer) int {
	fs := flag.NewFlagSet("gen", flag.ContinueOnError)
	fs.SetOutput(stderr)
	root := fs.String("root", "..", "top of the source")
	examples := fs.String("examples", "gen/examples", "folder of the examples")
	out := fs.String("out", "openapi.json", "file to write")
	page := fs.String("reference", "../api/web/docs/index.html", "file to write the reference for people to")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	text, err := generate(*root, *examples)
	if err == nil {
		err = os.WriteFile(*out, text, 0o644)
	}
	if err == nil {
		err = writeReference(*page, text)
	}
	if err != nil {
		_, _ = fmt.Fprintf(stderr, "gen: %v\n", err)
		return 1
	}
	return 0
}

// writeReference writes the document as a page.
func writeReference(name string, document []byte) error {
	text, err := reference(document)
	if err != nil {
		return err
	}
	if err := os.WriteFile(name, text, 0o644); err != nil {
		return fmt.Errorf("write the reference: %w", err)
	}
	return nil
}

// generate is the document as text.
func generate(root, examples string) ([]byte, error) {
	c, err := readComments(root)
	if err != nil {
		return nil, err
	}
	operations := api.Operations(api.Config{})
	list, err := readExamples(examples, operations)
	if err != nil {
		return nil, err
	}
	doc, h := build(operations, c), newHarvest()
	if err := addExamples(doc, list, h); err != nil {
		return nil, err
	}
	if missing := h.missing(doc.Components.Schemas); len(missing) > 0 {
		return nil, fmt.Errorf("no example shows %v; let one", missing)
	}
	if err := validate(doc); err != nil {
		return nil, err
	}
	return write(doc)
}

// validate checks the document and its examples by the library. It wants
// plain values in examples, so it is given a copy.
func validate(doc *openapi3.T) error {
	text, err := json.Marshal(doc)
	if err != nil {
		return fmt.Errorf("write the document: %w", err)
	}
	loaded, err := openapi3.NewLoader().LoadFromData(text)
	if err != nil {
		return fmt.Errorf("read the document back: %w", err)
	}
	if err := loaded.Validate(context.Background(), openapi3.EnableExamplesValidation()); err != nil {
		return fmt.Errorf("the document is not valid: %w", err)
	}
	return nil
}

// write formats the document. An empty list of security requirements says
// that the service asks for none; the library leaves an empty one out.
func write(doc *openapi3.T) ([]byte, error) {
	doc.Extensions = map[string]any{"security": []any{}}
	text, err := json.Marshal(doc)
	if err != nil {
		return nil, fmt.Errorf("write the document: %w", err)
	}
	v := jsontext.Value(text)
	if err := v.Format(jsontext.Multiline(true), jsontext.WithIndent("  "), jsontext.EscapeForHTML(false), jsontext.PreserveRawStrings(false)); err != nil {
		return nil, fmt.Errorf("format the document: %w", err)
	}
	return append(v, '\n'), nil
}
