package property

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// A pack check judges every rule or says what it wants; what it finds is what a
// plan with the same documents finds; no rule gives up.
func TestPackChecksJudgeOrSayWhatTheyWant(t *testing.T) {
	t.Parallel()
	pl, v := planner(), spec.NewValidator()
	checker := check.NewChecker(pl)
	rules := rule.All()
	rapid.Check(t, func(t *rapid.T) {
		q := drawRequest(t)
		c := &check.Request{Pack: q.Pack, Surroundings: q.Surroundings, IdleDays: maybe(t, between(0, 400), "idle")}
		if rapid.Bool().Draw(t, "with charger") {
			c.Charger = &q.Charger
		}
		if rapid.Bool().Draw(t, "with settings") {
			c.Settings = &spec.IntendedSettings{
				Chemistry:          spec.Chemistry(rapid.SampledFrom(spec.LiPo.Enum()).Draw(t, "program")),
				CellsSeries:        maybe(t, rapid.IntRange(1, 8), "cells set"),
				CurrentA:           maybe(t, between(0.01, 30), "current set"),
				EndVoltagePerCellV: maybe(t, between(0.5, 5), "end set"),
			}
		}
		if len(v.Validate(c)) > 0 {
			t.Skip("not a valid request")
		}
		a := checker.Check(c)
		_, err := json.Marshal(a)
		require.NoError(t, err)
		assert.Equal(t, spec.VerdictOf(a.Findings), a.Verdict)
		judged := map[string]bool{}
		for _, n := range a.NotEvaluated {
			assert.NotEmpty(t, n.Missing, n.Rule)
			judged[n.Rule] = true
		}
		for _, f := range a.Findings {
			assert.NotContains(t, f.Message, "fault of the service")
			assert.NotEmpty(t, f.At, f.Rule)
			judged[f.Rule] = true
		}
		assert.LessOrEqual(t, len(judged), len(rules))
	})
}
