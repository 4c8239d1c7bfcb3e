package rules_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// TestRuleThatPanicsStops: a rule that panics, wherever it does, is named and
// stops the charge, though it is but a note; every other rule is judged as if
// nothing had happened.
func TestRuleThatPanicsStops(t *testing.T) {
	t.Parallel()
	b := loadBook(t)
	for name, fault := range map[string]func(*rule.Rule){
		"in its check": func(r *rule.Rule) {
			r.Check = func(*rule.Facts, *rule.Out) { panic("a fault of ours") }
		},
		"in its check, on a document that is not there": func(r *rule.Rule) {
			r.Check = func(f *rule.Facts, out *rule.Out) { out.Hit(0, *f.IdleDays, 0, "left too long", "/idle_days") }
		},
		"asked whether it applies": func(r *rule.Rule) {
			r.Applies = func(*rule.Facts) bool { panic("a fault of ours") }
		},
		"asked whether its inputs are there": func(r *rule.Rule) {
			r.Needs = []rule.Input{{Fields: []string{"/pack"}, Has: func(*rule.Facts) bool { panic("a fault of ours") }}}
		},
	} {
		for _, asks := range []struct{ base, question string }{{"bare-check", packCheck}, {"plan", chargePlan}, {"nimh-plan", chargePlan}} {
			for _, where := range []string{"first", "last"} {
				t.Run(name+"/"+asks.base+"/"+where, func(t *testing.T) {
					t.Parallel()
					q := b.question(t, row{Base: asks.base, Question: asks.question})
					sound := newEngine(catalog(t)).ask(q)
					hurt := newEngine(withFaulty(catalog(t), where, fault)).ask(q)

					assert.Equal(t, spec.VerdictStop, hurt.verdict)
					assert.Equal(t, sound.notEvaluated, hurt.notEvaluated)
					assert.Empty(t, faultsOf(q, hurt))
					i := slices.IndexFunc(hurt.findings, func(f spec.Finding) bool { return f.Rule == faultyID })
					require.GreaterOrEqual(t, i, 0, "the rule is not named")
					f := hurt.findings[i]
					assert.Equal(t, spec.Stop, f.Severity)
					assert.Contains(t, f.Message, faultyID)
					assert.NotContains(t, f.Message, "a fault of ours", "the inside of a fault is nobody's business")
					assert.Equal(t, sound.findings, slices.Delete(slices.Clone(hurt.findings), i, i+1))
				})
			}
		}
	}
}

const faultyID = "rule-with-a-fault"

// withFaulty is the catalog with one more rule, a mere note, that has a fault.
func withFaulty(rules []rule.Rule, where string, fault func(*rule.Rule)) []rule.Rule {
	faulty := rule.Rule{
		ID: faultyID, Family: rule.PackAlone, Levels: []rule.Level{{Severity: spec.Note}},
		Title: "A rule has a fault", Rationale: "It proves that faults are caught.", Remedy: "mend it",
		Source: spec.Source{Kind: spec.Derived, Title: "invented"}, Since: spec.ServiceVersion,
		Check: func(*rule.Facts, *rule.Out) {},
	}
	fault(&faulty)
	if where == "first" {
		return append([]rule.Rule{faulty}, rules...)
	}
	return append(rules, faulty)
}
