package rule

import (
	"fmt"
	"slices"
	"sync"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Out collects what one rule finds.
type Out struct {
	rule         *Rule
	findings     []spec.Finding
	notEvaluated []spec.NotEvaluated
}

// Hit adds a finding of the rule's level i about a value judged against a
// limit, both in the level's unit, at JSON Pointers into the request.
func (o *Out) Hit(i int, value, limit float64, message string, at ...string) {
	nums := [4]float64{spec.Round9(value), spec.Round9(limit), value, limit}
	o.add(i, message, at, &nums)
}

// Say adds a finding without a number.
func (o *Out) Say(i int, message string, at ...string) { o.add(i, message, at, nil) }

func (o *Out) add(i int, message string, at []string, nums *[4]float64) {
	l := &o.rule.Levels[i]
	f := spec.Finding{
		Rule: o.rule.ID, Severity: l.Severity, Message: message, At: at,
		Remedy: o.rule.Remedy, Source: o.rule.Source,
	}
	if nums != nil {
		f.Value, f.Limit, f.Unit = &nums[0], &nums[1], l.Unit
		f.Exact = nums[2:]
	}
	if l.Remedy != "" {
		f.Remedy = l.Remedy
	}
	o.findings = append(o.findings, f)
}

// Judge evaluates a catalog. It is safe for concurrent use.
type Judge struct {
	rules []Rule
	board []Rule // those that speak of each pack on a parallel board by itself
	pool  sync.Pool
}

// NewJudge builds a Judge of the given rules.
func NewJudge(rules []Rule) *Judge {
	j := &Judge{rules: rules}
	for i := range rules {
		if rules[i].Family == PackAlone || rules[i].EachPack {
			j.board = append(j.board, rules[i])
		}
	}
	j.pool.New = func() any {
		return &Out{findings: make([]spec.Finding, 0, 16), notEvaluated: make([]spec.NotEvaluated, 0, len(rules))}
	}
	return j
}

// Rule finds a rule of the catalog by its id, or nil.
func (j *Judge) Rule(id string) *Rule {
	for i := range j.rules {
		if j.rules[i].ID == id {
			return &j.rules[i]
		}
	}
	return nil
}

// Evaluate judges every rule and returns the findings, the worst first, and
// the rules that could not be judged. Rules about leaving a pack unused are
// judged only when idle is true.
func (j *Judge) Evaluate(f *Facts, idle bool) ([]spec.Finding, []spec.NotEvaluated) {
	out := j.pool.Get().(*Out)
	defer func() {
		clear(out.findings)
		clear(out.notEvaluated)
		*out = Out{findings: out.findings[:0], notEvaluated: out.notEvaluated[:0]}
		j.pool.Put(out)
	}()
	out.all(j.rules, f, idle)
	j.evaluateBoard(f, out)
	slices.SortStableFunc(out.findings, func(a, b spec.Finding) int {
		return b.Severity.Rank() - a.Severity.Rank()
	})
	// Never nil: an empty list is an answer.
	return append([]spec.Finding{}, out.findings...), append([]spec.NotEvaluated{}, out.notEvaluated...)
}

// all runs every rule.
func (o *Out) all(rules []Rule, f *Facts, idle bool) {
	for next := 0; next < len(rules); {
		next = o.judge(rules, next, f, idle)
	}
}

// judge runs the rules from the given one on, and returns where to go on: at
// their end, or behind a rule that panicked. Such a rule fails closed: it is
// named, and it stops the charge.
func (o *Out) judge(rules []Rule, from int, f *Facts, idle bool) (next int) {
	i := from
	defer func() {
		if p := recover(); p != nil {
			next = i + 1
			o.findings = append(o.findings, spec.Finding{
				Rule: rules[i].ID, Severity: spec.Stop, At: []string{""},
				Message: fmt.Sprintf("the rule %s could not be worked out; this is a fault of the service, and it stops to be safe", rules[i].ID),
				Remedy:  "do not charge on this answer; report the request",
				Source:  rules[i].Source,
			})
		}
	}()
	for ; i < len(rules); i++ {
		r := &rules[i]
		if r.Idle && !idle || !r.InForce(f.AsOf) || r.Applies != nil && !r.Applies(f) {
			continue
		}
		if missing := missingOf(r, f); missing != nil {
			o.notEvaluated = append(o.notEvaluated, spec.NotEvaluated{Rule: r.ID, Missing: missing})
			continue
		}
		o.rule = r
		r.Check(f, o)
	}
	return i
}

// missingOf lists the fields that would let the rule be judged.
func missingOf(r *Rule, f *Facts) []string {
	count := 0
	var missing []string // shared with the catalog while it is one list: nobody writes to it
	for i := range r.Needs {
		n := &r.Needs[i]
		if n.Has(f) {
			continue
		}
		count++
		switch {
		case missing == nil:
			missing = n.Fields
		case count == len(r.Needs) && len(r.allFields) > 0:
			missing = r.allFields
		default:
			missing = append(slices.Clip(missing), n.Fields...)
		}
	}
	return missing
}

// Worst is the worst of the rule's levels whose limit passes, or -1.
func (o *Out) Worst(passes func(limit float64) bool) int {
	for i := len(o.rule.Levels) - 1; i >= 0; i-- {
		if passes(o.Limit(i)) {
			return i
		}
	}
	return -1
}

// Limit is the limit of the rule's own level i.
func (o *Out) Limit(i int) float64 { return o.rule.Limit(i) }
