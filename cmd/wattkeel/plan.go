package main

import (
	"context"
	"errors"
	"io"
	"os"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/api/render"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func plan(_ context.Context, c call) int {
	fs := newFlags("plan")
	limit := fs.Int64("body-limit", api.DefaultBodyLimit, "largest file in bytes")
	format := fs.String("format", formatJSON, "form of the plan: json, or text for a person to read")
	if code, ok := parse(fs, c, "[flags] FILE"); !ok {
		return code
	}
	if fs.NArg() != 1 || *limit < 1 {
		say(c.stderr, "wattkeel plan: name one file, or - for standard input\n\n")
		help(c.stderr, fs, "[flags] FILE")
		return exitBroken
	}
	if *format != formatJSON && *format != formatText {
		say(c.stderr, "wattkeel plan: %s\n", spec.NotOneOf("--format", *format, []string{formatJSON, formatText}))
		return exitBroken
	}
	name := fs.Arg(0)
	body, err := readFile(name, c.stdin, *limit)
	if err != nil {
		say(c.stderr, "%s: %v\n", name, err)
		return exitBroken
	}
	q, err := api.NewDecoder[charge.Request](spec.NewValidator()).Decode(body)
	if err != nil {
		for _, f := range api.FaultsOf(err) {
			say(c.stderr, "%s: %s: %s\n", name, place(f.Pointer), f.Detail)
		}
		return exitBroken
	}
	answer := newPlanner().Plan(q)
	if err := printPlan(c.stdout, answer, *format); err != nil {
		say(c.stderr, "wattkeel plan: cannot write the plan: %v\n", err)
		return exitBroken
	}
	return exitOf(answer.Verdict)
}

// The forms in which a plan is printed.
const formatJSON, formatText = "json", "text"

func printPlan(w io.Writer, p *charge.Plan, format string) error {
	var text []byte
	var err error
	if format == formatText {
		text, err = render.ChargePlanText(p)
	} else {
		text, err = json.Marshal(p, json.Deterministic(true), jsontext.WithIndent("  "))
		text = append(text, '\n')
	}
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

// newPlanner builds a planner on every chemistry and rule there is.
func newPlanner() *charge.Planner { return charge.NewPlanner(cell.NewTable(), rule.All()) }

func readFile(name string, stdin io.Reader, limit int64) ([]byte, error) {
	if name == "-" {
		return api.ReadDocument(stdin, limit)
	}
	f, err := os.Open(name)
	if err != nil {
		var path *os.PathError
		if errors.As(err, &path) {
			return nil, path.Err // the name stands before it already
		}
		return nil, err
	}
	defer func() { _ = f.Close() }() // nothing was written to it
	return api.ReadDocument(f, limit)
}

// place writes a pointer so that it can be seen: the one to the whole document
// is empty (RFC 6901, section 5).
func place(pointer string) string {
	if pointer == "" {
		return "(document)"
	}
	return pointer
}

func exitOf(v spec.Verdict) int {
	if v == spec.VerdictStop {
		return exitNo
	}
	return exitOK
}
