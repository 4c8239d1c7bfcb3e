package rules_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// These tests prove that the rows can fail: each breaks one rule of the catalog
// at a time and asks whether that rule's rows notice. An assertion that cannot
// fail is a defect.

// broken is the catalog with one rule changed.
func broken(t testing.TB, id string, change func(*rule.Rule)) []rule.Rule {
	t.Helper()
	all := catalog(t)
	i := slices.IndexFunc(all, func(r rule.Rule) bool { return r.ID == id })
	require.GreaterOrEqual(t, i, 0, id)
	change(&all[i])
	return all
}

// tally counts rows by what they expect, and of those the ones that notice.
type tally struct{ rows, noticed map[string]int }

func (b *book) tally(t testing.TB, rules []rule.Rule, id string) tally {
	t.Helper()
	e := newEngine(rules)
	out := tally{map[string]int{}, map[string]int{}}
	for _, r := range b.Rows {
		if r.Rule != id {
			continue
		}
		out.rows[r.Expect]++
		if len(mismatches(r, e.ask(b.question(t, r)))) > 0 {
			out.noticed[r.Expect]++
		}
	}
	return out
}

// every runs prove for each rule of the catalog.
func every(t *testing.T, prove func(t *testing.T, b *book, r rule.Rule)) {
	t.Helper()
	t.Parallel()
	b := loadBook(t)
	for _, r := range catalog(t) {
		t.Run(r.ID, func(t *testing.T) {
			t.Parallel()
			prove(t, b, r)
		})
	}
}

func TestRowsHoldUnbroken(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(*rule.Rule) {}), r.ID)
		assert.Positive(t, out.rows[fires])
		assert.Empty(t, out.noticed, "rows that complain of a sound rule prove nothing")
	})
}

func TestRowsNoticeARuleThatIsGone(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		rest := slices.DeleteFunc(catalog(t), func(x rule.Rule) bool { return x.ID == r.ID })
		out := b.tally(t, rest, r.ID)
		assert.Equal(t, out.rows[fires], out.noticed[fires])
		assert.Equal(t, out.rows[absent], out.noticed[absent])
	})
}

func TestRowsNoticeARuleThatFindsNothing(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) {
			x.Check = func(*rule.Facts, *rule.Out) {}
		}), r.ID)
		assert.Equal(t, out.rows[fires], out.noticed[fires])
	})
}

func TestRowsNoticeARuleThatAlwaysFires(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) {
			x.Check = func(_ *rule.Facts, o *rule.Out) { o.Say(0, "whatever it is", "/pack") }
		}), r.ID)
		assert.Equal(t, out.rows[quiet], out.noticed[quiet])
	})
}

func TestRowsNoticeARuleThatAppliesToEverything(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) {
			x.Applies, x.Idle, x.ChargeOnly, x.Needs, x.InForceFrom = nil, false, false, nil, ""
			x.Check = func(_ *rule.Facts, o *rule.Out) { o.Say(0, "whatever it is", "/pack") }
		}), r.ID)
		assert.Equal(t, out.rows[notApplicable], out.noticed[notApplicable])
		assert.Equal(t, out.rows[absent], out.noticed[absent])
	})
}

// A rule judged without its inputs panics or finds nothing; either way it no
// longer says what it wants.
func TestRowsNoticeARuleThatAsksForNothing(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) { x.Needs = nil }), r.ID)
		assert.Equal(t, out.rows[absent], out.noticed[absent])
	})
}

func TestRowsNoticeAnotherSeverity(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) {
			for i := range x.Levels {
				x.Levels[i].Severity = map[spec.Severity]spec.Severity{
					spec.Note: spec.Caution, spec.Caution: spec.Stop, spec.Stop: spec.Note,
				}[x.Levels[i].Severity]
			}
		}), r.ID)
		assert.Equal(t, out.rows[fires], out.noticed[fires])
	})
}

// TestRowsNoticeALimitThatMoves: every limit published as data has rows so
// near to it that they notice it moving by 2 %, either way.
func TestRowsNoticeALimitThatMoves(t *testing.T) {
	every(t, func(t *testing.T, b *book, r rule.Rule) {
		for i, l := range r.Levels {
			if l.Limit == nil || unlimited(r.ID, l) {
				continue
			}
			step := 0.02 * *l.Limit
			if step == 0 {
				step = 0.2 // 0 °C
			}
			for _, moved := range []float64{*l.Limit - step, *l.Limit + step} {
				if _, waits := unfired()[r.ID+" caution"]; waits && moved < *l.Limit {
					continue // what lies under the limit is that caution
				}
				out := b.tally(t, broken(t, r.ID, func(x *rule.Rule) { x.Levels[i].Limit = &moved }), r.ID)
				assert.NotEmpty(t, out.noticed, "no row notices the %s limit at %g instead of %g %s", l.Severity, moved, *l.Limit, l.Unit)
			}
		}
	})
}

// unlimited reports a level whose published limit is compared with nothing: the
// caution of a charger without balancing is for any spread, even 0.
func unlimited(id string, l rule.Level) bool {
	return id == "charger-cannot-balance" && l.Severity == spec.Caution
}

// TestRowRunnerNoticesWrongMissing: the list of what is missing is compared,
// not only that something is.
func TestRowRunnerNoticesWrongMissing(t *testing.T) {
	t.Parallel()
	r := row{Rule: "pack-aged", Expect: absent, Missing: []string{"/as_of"}}
	a := answer{notEvaluated: []spec.NotEvaluated{{Rule: "pack-aged", Missing: []string{"/pack/made_on", "/as_of"}}}}
	assert.NotEmpty(t, mismatches(r, a))
	r.Missing = []string{"/pack/made_on", "/as_of"}
	assert.Empty(t, mismatches(r, a))
}

// TestFaultsAreNoticed: what must hold of any answer is really asked of it.
func TestFaultsAreNoticed(t *testing.T) {
	t.Parallel()
	b := loadBook(t)
	q := b.question(t, row{Base: "plan", Question: chargePlan})
	sound := func() answer {
		x := 1.0
		a := newEngine(catalog(t)).ask(q)
		a.findings = []spec.Finding{{Rule: "x", Severity: spec.Caution, Message: "m", Remedy: "r", At: []string{"/pack"}, Value: &x, Limit: &x, Unit: "v"}}
		a.verdict, a.document.(*charge.Plan).Verdict = spec.VerdictCaution, spec.VerdictCaution
		return a
	}
	require.Empty(t, faultsOf(q, sound()))
	for name, spoil := range map[string]func(*answer){
		"no message":           func(a *answer) { a.findings[0].Message = "" },
		"no remedy":            func(a *answer) { a.findings[0].Remedy = "" },
		"nowhere":              func(a *answer) { a.findings[0].At = nil },
		"no such field":        func(a *answer) { a.findings[0].At = []string{"/pack/volts"} },
		"no such element":      func(a *answer) { a.findings[0].At = []string{"/pack/cell_voltages_v/3"} },
		"not a pointer":        func(a *answer) { a.findings[0].At = []string{"pack"} },
		"value without limit":  func(a *answer) { a.findings[0].Limit = nil },
		"unit without a value": func(a *answer) { a.findings[0].Value, a.findings[0].Limit = nil, nil },
		"value without a unit": func(a *answer) { a.findings[0].Unit = "" },
		"not a number":         func(a *answer) { x := math.NaN(); a.findings[0].Value = &x },
		"a better verdict":     func(a *answer) { a.verdict = spec.VerdictClear },
		"both ways":            func(a *answer) { a.notEvaluated = []spec.NotEvaluated{{Rule: "x", Missing: []string{"/pack"}}} },
		"missing no field":     func(a *answer) { a.notEvaluated = []spec.NotEvaluated{{Rule: "y", Missing: []string{"/settings"}}} },
		"no settings":          func(a *answer) { a.document.(*charge.Plan).Settings = nil },
		"no phases":            func(a *answer) { a.document.(*charge.Plan).Phases = nil },
		"no curve":             func(a *answer) { a.document.(*charge.Plan).Curve = nil },
		"settings and stop": func(a *answer) {
			a.findings[0].Severity, a.verdict, a.document.(*charge.Plan).Verdict = spec.Stop, spec.VerdictStop, spec.VerdictStop
		},
	} {
		a := sound()
		spoil(&a)
		assert.NotEmpty(t, faultsOf(q, a), name)
	}
}
