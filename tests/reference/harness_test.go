// Package reference_test checks the main results against something that is
// not ours: published values, standards, handbook tables and rules of the
// trade, each named beside its check.
//
// Every table prints how far each of its rows is off, and is proved able to
// fail. A measured disagreement with a published value is never tuned away:
// its row stays, marked as reported with the reason, and fails only when the
// disagreement is gone and the mark has become untrue.
package reference_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"text/tabwriter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// standing is how well a published value is known.
type standing string

const (
	read     standing = "read"            // read in a stored copy of the document
	code     standing = "read in code"    // read in stored public code that cites the paper
	computed standing = "computed"        // pure arithmetic on values or formulas that were read
	memory   standing = "from memory"     // recalled, not confirmed in a document
	practice standing = "common practice" // a fact of the trade without one document behind it
)

// source names where an expected value comes from.
type source struct {
	title string
	as    standing
}

// tol is how far a row may be off, and why that much. The two parts add up.
type tol struct {
	abs, rel float64
	why      string
}

// exactly allows for nothing but rounding in binary and to 9 digits.
func exactly() tol { return tol{abs: 1e-12, rel: 5e-9, why: "arithmetic; answers keep 9 digits"} }

// row is one check: a number, or a word where wantWord is set.
type row struct {
	id, what          string
	want, got         float64
	wantWord, gotWord string
	span              string // how a published range was written
	tol               tol
	from              source
	reported          string // why a disagreement that was measured stands
	reportedIn        string // which way it errs: "stricter", "looser" or "differs"
}

func num(id, what string, want, got float64, t tol, from source) row {
	return row{id: id, what: what, want: want, got: got, tol: t, from: from}
}

// within is a row whose expected value is published as a range.
func within(id, what string, low, high, got float64, why string, from source) row {
	r := num(id, what, (low+high)/2, got, tol{abs: (high - low) / 2, rel: 1e-12, why: why}, from)
	r.span = fmt.Sprintf("%g to %g", low, high)
	return r
}

func word(id, what, want, got string, from source) row {
	return row{id: id, what: what, wantWord: want, gotWord: got, tol: tol{why: "a rule: exact"}, from: from}
}

// report marks a row as a disagreement that was measured and stands.
func (r row) report(way, why string) row {
	r.reportedIn, r.reported = way, why
	return r
}

func (r row) allowed() float64 { return r.tol.abs + r.tol.rel*math.Abs(r.want) }

// agrees reports whether a row is within its tolerance. What is not a number
// never is.
func (r row) agrees() bool {
	if r.wantWord != "" {
		return r.gotWord == r.wantWord
	}
	return math.Abs(r.got-r.want) <= r.allowed()
}

// faults lists what is wrong with a table: rows that are off without being
// reported, reported rows that are not off, and rows that say too little.
func faults(rows []row) []string {
	var out []string
	for _, r := range rows {
		switch {
		case r.id == "" || r.what == "" || r.tol.why == "" || r.from.title == "" || r.from.as == "":
			out = append(out, fmt.Sprintf("%s %s: a row names what it checks, why its tolerance, and its source", r.id, r.what))
		case r.reported == "" && !r.agrees():
			out = append(out, fmt.Sprintf("%s %s: want %s, got %s, may be off by %s (%s)", r.id, r.what, r.wanted(), r.gotten(), short(r.allowed()), r.tol.why))
		case r.reported != "" && r.agrees():
			out = append(out, fmt.Sprintf("%s %s: reported as a disagreement, but it agrees now; take the mark away", r.id, r.what))
		}
	}
	return out
}

func short(x float64) string { return fmt.Sprintf("%.6g", x) }

func (r row) wanted() string {
	switch {
	case r.wantWord != "":
		return r.wantWord
	case r.span != "":
		return r.span
	}
	return short(r.want)
}

func (r row) gotten() string {
	if r.wantWord != "" {
		return r.gotWord
	}
	return short(r.got)
}

func (r row) off() (off, allowed string) {
	switch {
	case r.wantWord != "" && r.agrees():
		return "same", "exact"
	case r.wantWord != "":
		return "other", "exact"
	case r.span != "" && r.agrees():
		return "inside", "the range"
	case r.span != "":
		return fmt.Sprintf("%+.3g", math.Copysign(math.Abs(r.got-r.want)-r.allowed(), r.got-r.want)), "the range"
	}
	return fmt.Sprintf("%+.3g", r.got-r.want), fmt.Sprintf("%.3g", r.allowed())
}

// checkTable prints a table and fails the test for its faults. It first proves
// that every row of it can fail.
func checkTable(t *testing.T, title string, rows []row) {
	t.Helper()
	require.NotEmpty(t, rows, "a table without rows passes on nothing")
	for _, r := range rows {
		assert.False(t, perturbed(r).agrees(), "%s %s: cannot fail", r.id, r.what)
	}
	t.Log(render(title, rows))
	for _, f := range faults(rows) {
		t.Error(f)
	}
}

// perturbed is the row with its result moved a little past its tolerance.
func perturbed(r row) row {
	if r.wantWord != "" {
		r.gotWord = r.wantWord + "?"
		return r
	}
	r.got = r.want + 1.01*r.allowed() + 1e-15
	return r
}

// mustFail proves that a table computed from a wrong input is noticed: at
// least the given number of its rows are off that are not off anyway.
func mustFail(t *testing.T, wrong string, least int, rows []row) {
	t.Helper()
	n := 0
	for _, r := range rows {
		if r.reported == "" && !r.agrees() {
			n++
		}
	}
	assert.GreaterOrEqual(t, n, least, "%s goes unnoticed", wrong)
	t.Logf("with %s, %d of %d rows are off", wrong, n, len(rows))
}

func render(title string, rows []row) string {
	var b strings.Builder
	b.WriteString(title + "\n")
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	line := func(cells ...string) { _, _ = fmt.Fprintln(w, strings.Join(cells, "\t")) } // a strings.Builder takes everything
	line("id", "what", "expected", "got", "off", "tolerance", "source")
	for _, r := range rows {
		off, allowed := r.off()
		line(r.id, r.what, r.wanted(), r.gotten(), off, allowed, fmt.Sprintf("%s (%s)", r.from.title, r.from.as))
	}
	_ = w.Flush()
	for _, r := range rows {
		if r.reported != "" {
			_, _ = fmt.Fprintf(&b, "REPORTED %s %s: expected %s, got %s, %s: %s\n", r.id, r.what, r.wanted(), r.gotten(), r.reportedIn, r.reported)
		}
	}
	return b.String()
}

// The harness itself can fail: in every way a row can be wrong.
func TestHarnessCanFail(t *testing.T) {
	from := source{"arithmetic", computed}
	good := num("h1", "one half", 0.5, 0.5000004, tol{abs: 1e-6, why: "a test"}, from)
	off := num("h2", "one half", 0.5, 0.500002, tol{abs: 1e-6, why: "a test"}, from)
	unlike := word("h3", "verdict", "stop", "clear", from)
	cases := []struct {
		name string
		rows []row
		want int
	}{
		{"good rows pass", []row{good, word("h4", "verdict", "stop", "stop", from)}, 0},
		{"a number off fails", []row{good, off}, 1},
		{"a relative tolerance is scaled", []row{num("h5", "big", 1e6, 1e6+2, tol{rel: 1e-6, why: "a test"}, from)}, 1},
		{"not a number fails", []row{num("h6", "nothing", 1, math.NaN(), tol{abs: 9, why: "a test"}, from)}, 1},
		{"infinity fails", []row{num("h6", "nothing", 1, math.Inf(1), tol{rel: 9, why: "a test"}, from)}, 1},
		{"a word off fails", []row{unlike}, 1},
		{"a reported row that is off passes", []row{off.report("differs", "a test"), unlike.report("differs", "a test")}, 0},
		{"a reported row that agrees fails", []row{good.report("differs", "a test")}, 1},
		{"a row without a reason for its tolerance fails", []row{num("h7", "one", 1, 1, tol{abs: 1}, from)}, 1},
		{"a row without a source fails", []row{num("h8", "one", 1, 1, exactly(), source{})}, 1},
	}
	for _, c := range cases {
		assert.Len(t, faults(c.rows), c.want, c.name)
	}
	for _, r := range []row{good, num("h9", "zero", 0, 0, exactly(), from), word("h4", "verdict", "stop", "stop", from)} {
		require.True(t, r.agrees())
		assert.False(t, perturbed(r).agrees())
	}
	assert.Contains(t, render("t", []row{off.report("differs", "because")}), "because")
}
