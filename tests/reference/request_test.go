package reference_test

import (
	"fmt"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func planner() *charge.Planner { return charge.NewPlanner(cell.NewTable(), rule.All()) }

// bench is a charger that nothing here is too much for, set in hundredths of
// an ampere (invented).
const bench = `{"chemistries": ["lipo", "lihv", "liion", "lifepo4", "nimh"], "cells_series_min": 1, "cells_series_max": 32,
  "min_charge_current_a": 0.01, "max_charge_current_a": 1000, "charge_current_step_a": 0.01, "balance": "with_main_lead",
  "cell_count": "detected", "end_voltage_adjustable": true, "safety_timer": true}`

// request decodes a charge request the way a caller writes it.
func request(t testing.TB, pack, charger, more string) *charge.Request {
	t.Helper()
	body := fmt.Sprintf(`{"pack": {%s}, "charger": %s%s}`, pack, charger, more)
	q := &charge.Request{}
	require.NoError(t, json.Unmarshal([]byte(body), q, json.RejectUnknownMembers(true)), body)
	return q
}

// plan answers a request that must be valid. More, if any, begins with a comma.
func plan(t testing.TB, pack, charger, more string) *charge.Plan {
	t.Helper()
	q := request(t, pack, charger, more)
	require.Empty(t, spec.NewValidator().Validate(q))
	return planner().Plan(q)
}

// settled is a plan that must not be refused.
func settled(t testing.TB, pack, charger, more string) *charge.Plan {
	t.Helper()
	p := plan(t, pack, charger, more)
	require.NotEqual(t, spec.VerdictStop, p.Verdict, "%v", p.Findings)
	require.NotNil(t, p.Settings)
	return p
}

// limit is the value of one limit of a plan, or 0.
func limit(p *charge.Plan, name charge.LimitName) float64 {
	for _, l := range p.Limits {
		if l.Name == name {
			return l.CurrentA
		}
	}
	return 0
}

// found is the severity a rule found, or "none".
func found(list []spec.Finding, rule string) string {
	for _, f := range list {
		if f.Rule == rule {
			return string(f.Severity)
		}
	}
	return "none"
}

// minutes is the length of the phases of one kind.
func minutes(p *charge.Plan, kind charge.PhaseKind) float64 {
	sum := 0.0
	for _, x := range p.Phases {
		if x.Kind == kind {
			sum += x.DurationMin
		}
	}
	return sum
}

func chemistry(t testing.TB, name spec.Chemistry) *cell.Chemistry {
	t.Helper()
	c := cell.NewTable().Get(name)
	require.NotNil(t, c)
	return c
}
