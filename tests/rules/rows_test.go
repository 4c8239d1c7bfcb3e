// Package rules_test judges the catalog of rules from outside: by the requests
// of rows.json, each named for what a person did wrong, and by what every rule
// must say of itself.
package rules_test

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

// TestRows asks every row's question and compares the answer with what the row
// expects of its rule.
func TestRows(t *testing.T) {
	t.Parallel()
	e := newEngine(rule.All())
	b := loadBook(t)
	require.GreaterOrEqual(t, len(b.Rows), 3*leastRules, "rows.json has lost rows")
	for _, r := range b.Rows {
		t.Run(r.Rule+"/"+r.Name, func(t *testing.T) {
			t.Parallel()
			q := b.question(t, r)
			a := e.ask(q)
			assert.Empty(t, mismatches(r, a))
			assert.Empty(t, misapplied(r, q))
			assert.Empty(t, faultsOf(q, a))
		})
	}
}

// TestBases holds the bases to what makes them useful: on the complete ones
// every rule can be judged and none fires, so that a row's change alone decides
// what its rule says.
func TestBases(t *testing.T) {
	t.Parallel()
	e := newEngine(rule.All())
	b := loadBook(t)
	for _, complete := range []struct{ name, asks string }{
		{"check", packCheck},
		{"plan", chargePlan},
		{"nimh-check", packCheck},
		{"nimh-plan", chargePlan},
		{"drain", standing},
		{"nimh-drain", standing},
		{"run", runTime},
		{"nimh-run", runTime},
		{"store", storePlan},
		{"carry-on", travel},
		{"cargo", travel},
		{"road", travel},
	} {
		t.Run(complete.name, func(t *testing.T) {
			t.Parallel()
			a := e.ask(b.question(t, row{Base: complete.name, Question: complete.asks}))
			assert.Equal(t, spec.VerdictClear, a.verdict)
			assert.Empty(t, a.findings)
			assert.Empty(t, a.notEvaluated)
		})
	}
}

// mismatches compares an answer with what a row expects of it. It returns what
// is wrong in words, so that the proofs can ask whether a row would notice.
func mismatches(r row, a answer) []string {
	var wrong []string
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }

	var found []spec.Finding
	for _, f := range a.findings {
		if f.Rule == r.Rule {
			found = append(found, f)
		}
	}
	missing, unjudged := missingOf(a.notEvaluated, r.Rule)
	if r.Expect != fires && len(found) > 0 {
		say("it is %s, and the rule says: %s", r.Expect, found[0].Message)
	}
	switch r.Expect {
	case fires:
		if unjudged {
			say("it fires, and the rule was not evaluated for want of %v", missing)
		}
		if len(found) == 0 {
			say("it fires, and the rule found nothing")
		}
		for _, f := range found {
			if f.Severity != r.Severity {
				say("the severity is %s, and the finding's is %s", r.Severity, f.Severity)
			}
		}
	case absent:
		if !unjudged {
			say("it is absent, and the rule was evaluated")
		}
		if unjudged && !slices.Equal(missing, r.Missing) {
			say("missing is %v, and the answer says %v", r.Missing, missing)
		}
	default: // quiet, not-applicable: an answer does not tell the two apart
		if unjudged {
			say("it is %s, and the rule was not evaluated for want of %v", r.Expect, missing)
		}
	}
	return wrong
}

// misapplied tells a quiet row from one the rule does not apply to, which an
// answer does not: it asks the rule itself, about the documents alone.
func misapplied(r row, q *question) []string {
	if r.Expect != quiet && r.Expect != notApplicable {
		return nil
	}
	all := rule.All()
	i := slices.IndexFunc(all, func(x rule.Rule) bool { return x.ID == r.Rule })
	if i < 0 {
		return []string{"there is no such rule"}
	}
	f := q.facts()
	applies := q.kind.judges(&all[i]) && all[i].InForce(f.AsOf) && (all[i].Applies == nil || all[i].Applies(&f))
	if applies == (r.Expect == notApplicable) {
		return []string{fmt.Sprintf("it is %s, and whether the rule applies is %t", r.Expect, applies)}
	}
	return nil
}

func missingOf(list []spec.NotEvaluated, id string) (missing []string, unjudged bool) {
	for _, n := range list {
		if n.Rule == id {
			return n.Missing, true
		}
	}
	return nil, false
}

// faultsOf reports what must hold of any answer whatever was asked.
func faultsOf(q *question, a answer) []string {
	var wrong []string
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	for i := range a.findings {
		f := &a.findings[i]
		if f.Message == "" || f.Remedy == "" {
			say("%s: message %q, remedy %q", f.Rule, f.Message, f.Remedy)
		}
		if len(f.At) == 0 {
			say("%s: it points nowhere", f.Rule)
		}
		for _, p := range f.At {
			if !pointsInto(q.document(), p) {
				say("%s: at %s, where this request has no field", f.Rule, p)
			}
		}
		if given := f.Value != nil; given != (f.Limit != nil) || given != (f.Unit != "") {
			say("%s: value, limit and unit %q go together, and some are missing", f.Rule, f.Unit)
		}
		if i > 0 && f.Severity.Rank() > a.findings[i-1].Severity.Rank() {
			say("%s: %s stands after %s", f.Rule, f.Severity, a.findings[i-1].Severity)
		}
		if n := slices.IndexFunc(a.notEvaluated, func(n spec.NotEvaluated) bool { return n.Rule == f.Rule }); n >= 0 {
			say("%s: both found and not evaluated", f.Rule)
		}
	}
	if _, err := json.Marshal(a.findings); err != nil {
		say("the findings cannot be written: %v", err)
	}
	for _, n := range a.notEvaluated {
		if len(n.Missing) == 0 {
			say("%s: not evaluated for want of nothing", n.Rule)
		}
		for _, p := range n.Missing {
			if !pointsInto(q.document(), p) {
				say("%s: missing %s, where this request has no field", n.Rule, p)
			}
		}
	}
	if want := spec.VerdictOf(a.findings); a.verdict != want {
		say("the verdict is %s, and the worst finding makes it %s", a.verdict, want)
	}
	if p, is := a.document.(*charge.Plan); is {
		wrong = append(wrong, planFaults(q.request.(*charge.Request), p)...)
	}
	if p, is := a.document.(*storage.Plan); is && p.Verdict == spec.VerdictStop &&
		(p.Settings != nil || p.Limits != nil || p.Phases != nil || p.Curve != nil || p.Alternatives != nil || p.Steps != nil || p.Duration != nil) {
		say("verdict stop, and the plan says what to do")
	}
	return wrong
}

// planFaults holds a plan to the first invariant of the contract: verdict stop
// if and only if it gives no settings, no phases and no curve.
func planFaults(q *charge.Request, p *charge.Plan) []string {
	var wrong []string
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	if p.Verdict == spec.VerdictStop {
		for name, given := range map[string]bool{
			"settings": p.Settings != nil, "phases": len(p.Phases) > 0, "curve": len(p.Curve) > 0,
			"limits": len(p.Limits) > 0, "duration": p.Duration != nil, "steps": len(p.Steps) > 0,
		} {
			if given {
				say("verdict stop, and the plan gives %s", name)
			}
		}
		return wrong
	}
	if p.Settings == nil || p.Settings.CurrentA <= 0 {
		say("verdict %s, and the plan gives no current", p.Verdict)
	}
	// A pack that is full already has settings and a curve, but no phase.
	full := slices.ContainsFunc(p.Findings, func(f spec.Finding) bool { return f.Rule == "already-charged" })
	if len(p.Phases) == 0 && !full {
		say("verdict %s, and the plan gives no phase", p.Verdict)
	}
	if len(p.Curve) != q.CurvePoints {
		say("verdict %s, and the curve has %d points of %d", p.Verdict, len(p.Curve), q.CurvePoints)
	}
	return wrong
}

// document is the request as reflection walks it.
func (q *question) document() reflect.Value { return reflect.ValueOf(q.request).Elem() }
