package charge

import (
	"fmt"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// full says all that a request can say (invented).
const full = `{
  "pack": {"id": "tq-014", "chemistry": "lipo", "cells_series": 3, "cells_parallel": 1, "capacity_mah": 2200,
    "max_charge_c_rate": 5, "max_discharge_c_rate": 30, "burst_discharge_c_rate": 60,
    "cell_voltages_v": [3.71, 3.70, 3.72], "cell_resistances_mohm": [6.1, 6.3, 6.0], "resistance_method": "ac_1khz",
    "temperature_degc": 21, "cycles": 40, "made_on": "2025-03-01", "measured_capacity_mah": 2110, "mass_g": 190,
    "main_lead": {"wire_awg": 14, "length_mm": 100, "connector_max_current_a": 60},
    "nominal_voltage_v": 11.1, "energy_wh": 24.4},
  "charger": {"id": "bench-a", "chemistries": ["lipo", "lihv", "liion", "lifepo4", "nimh"],
    "cells_series_min": 1, "cells_series_max": 4, "channels": 1, "min_charge_current_a": 0.1, "max_charge_current_a": 6,
    "charge_current_step_a": 0.1, "max_charge_power_w": 60, "max_total_power_w": 60, "balance": "with_main_lead",
    "balance_current_a": 0.3, "cell_count": "set_by_hand", "end_voltage_adjustable": true, "storage_program": true,
    "max_discharge_current_a": 1, "max_discharge_power_w": 8, "safety_timer": true,
    "supply": {"power_w": 80, "efficiency_percent": 85}}}`

// least is the least a request can say.
const least = `{"pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200},
  "charger": {"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 4, "max_charge_current_a": 6, "balance": "with_main_lead"}}`

// request puts a pack, more of a charger and more of a request together.
func request(pack, charger, more string) string {
	return fmt.Sprintf(`{"pack": {%s}, "charger": {"chemistries": ["lipo", "lihv", "liion", "lifepo4", "nimh"], "cells_series_min": 1,
		"cells_series_max": 8, "balance": "with_main_lead"%s}%s}`, pack, charger, more)
}

func decode(t testing.TB, body string) *Request {
	t.Helper()
	q := &Request{}
	require.NoError(t, json.Unmarshal([]byte(body), q, json.RejectUnknownMembers(true)))
	require.Empty(t, spec.NewValidator().Validate(q))
	return q
}

func planner() *Planner { return NewPlanner(cell.NewTable(), rule.All()) }

func plan(t testing.TB, body string) *Plan {
	t.Helper()
	return planner().Plan(decode(t, body))
}

func binding(p *Plan) LimitName {
	for _, l := range p.Limits {
		if l.Binding {
			return l.Name
		}
	}
	return ""
}

// What is set, and why, for packs and chargers a shop sees. Currents are
// arithmetic of the trade (common practice): 1 C is the capacity in amp hours.
func TestCurrentAndWhatBindsIt(t *testing.T) {
	const small, big = `"chemistry": "lipo", "cells_series": 2, "capacity_mah": 950`, `"chemistry": "lipo", "cells_series": 6, "capacity_mah": 5000, "max_charge_c_rate": 5`
	cases := []struct {
		name                string
		pack, charger, more string
		current             float64
		binds               LimitName
	}{
		{"the everyday pace", `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200`, `, "max_charge_current_a": 6`, ``, 2.2, LimitPace},
		{"the gentle pace", `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200`, `, "max_charge_current_a": 6`, `, "goal": {"pace": "gentle"}`, 1.1, LimitPace},
		{"the quick pace is the label's", `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "max_charge_c_rate": 2`, `, "max_charge_current_a": 6`, `, "goal": {"pace": "quick"}`, 4.4, LimitPace},
		{"nothing printed on a small pack: rounded down", small, `, "max_charge_current_a": 6`, ``, 0.9, LimitChargerStep},
		{"a label on a small pack: rounded up to the step", small + `, "max_charge_c_rate": 2`, `, "max_charge_current_a": 6`, ``, 1, LimitSmallPackRounding},
		{"a small pack on a weak charger: not rounded up past it", small + `, "max_charge_c_rate": 2`, `, "max_charge_current_a": 0.95, "charge_current_step_a": 0.1`, ``, 0.9, LimitChargerStep},
		{"cylindrical cells without a label: half of 1 C", `"chemistry": "liion", "cells_series": 2, "capacity_mah": 3000`, `, "max_charge_current_a": 6`, ``, 1.5, LimitLabel},
		{"the charger is small", big, `, "max_charge_current_a": 3`, ``, 3, LimitChargerCurrent},
		{"the charger's power: 80 W at 25.2 V is 3.17 A", big, `, "max_charge_current_a": 10, "max_charge_power_w": 80`, ``, 3.1, LimitChargerStep},
		{"the supply's power: 100 W × 0.9 at 25.2 V is 3.57 A", big, `, "max_charge_current_a": 10, "charge_current_step_a": 0.01, "supply": {"power_w": 100, "efficiency_percent": 90}`, ``, 3.57, LimitChargerStep},
		{"a connector for 4 A", big + `, "main_lead": {"connector_max_current_a": 4}`, `, "max_charge_current_a": 10`, ``, 4, LimitConnector},
		{"thin wire", big + `, "main_lead": {"wire_awg": 28}`, `, "max_charge_current_a": 10`, ``, 2.1, LimitChargerStep},
		{"cold: half of 1 C", big + `, "temperature_degc": 5`, `, "max_charge_current_a": 10`, ``, 2.5, LimitTemperature},
		{"worn: half of what is left", big + `, "measured_capacity_mah": 3600`, `, "max_charge_current_a": 10`, ``, 1.8, LimitCondition},
		{"one fixed current", big, `, "max_charge_current_a": 2.5, "min_charge_current_a": 2.5`, ``, 2.5, LimitChargerCurrent},
		{"a pace below the charger's least current is raised to it", small, `, "max_charge_current_a": 5, "min_charge_current_a": 0.5`, `, "goal": {"pace": "gentle"}`, 0.5, LimitPace},
		{"a nimh pack without a label: a tenth of 1 C", `"chemistry": "nimh", "cells_series": 6, "capacity_mah": 3000`, `, "max_charge_current_a": 5`, ``, 0.3, LimitLabel},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := plan(t, request(c.pack, c.charger, c.more))
			require.NotNil(t, p.Settings, "%+v", p.Findings)
			assert.Equal(t, c.current, p.Settings.CurrentA)
			assert.Equal(t, c.binds, binding(p))
		})
	}
}

// A quick charge on a warm day is slowed until the pack is not expected to pass
// 60 °C: the largest such step, and not one more.
func TestQuickChargeIsSlowedByItsHeat(t *testing.T) {
	const pack = `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "max_charge_c_rate": 8, "cell_voltages_v": [3.5, 3.5, 3.5], "cell_resistances_mohm": [9, 9, 9], "temperature_degc": 38`
	ask := func(goal string) *Plan {
		return plan(t, request(pack, `, "max_charge_current_a": 20`, `, "goal": {`+goal+`}`))
	}
	p := ask(`"pace": "quick"`)
	require.NotNil(t, p.Settings, "%+v", p.Findings)
	assert.Equal(t, LimitHeat, binding(p))
	assert.LessOrEqual(t, p.Temperature.PeakDegC, 60.0)
	assert.Equal(t, spec.VerdictCaution, p.Verdict)
	more := ask(fmt.Sprintf(`"current_a": %g`, p.Settings.CurrentA+0.1))
	assert.Equal(t, p.Settings.CurrentA, more.Settings.CurrentA, "a step more would pass it")
}

// The deadline is inverted exactly: one step less would not surely be ready.
func TestDeadlineTakesTheLowestStepThatIsSure(t *testing.T) {
	const pack = `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "max_charge_c_rate": 5, "cell_voltages_v": [3.7, 3.7, 3.7]`
	p := plan(t, request(pack, `, "max_charge_current_a": 6`, `, "goal": {"ready_in_min": 80}`))
	assert.Equal(t, LimitDeadline, binding(p))
	assert.LessOrEqual(t, p.Duration.HighMin, 80.0)
	less := plan(t, request(pack, `, "max_charge_current_a": 6`, fmt.Sprintf(`, "goal": {"current_a": %g}`, p.Settings.CurrentA-0.1)))
	assert.Greater(t, less.Duration.HighMin, 80.0)
}

func TestDeadlineThatCannotBeMetSaysTheEarliest(t *testing.T) {
	p := plan(t, request(`"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200`, `, "max_charge_current_a": 6`, `, "goal": {"ready_in_min": 20}`))
	require.Equal(t, spec.VerdictCaution, p.Verdict)
	assert.Equal(t, "deadline-cannot-be-met", p.Findings[0].Rule)
	assert.InDelta(t, p.Duration.HighMin, *p.Findings[0].Value, 1e-6)
	assert.Equal(t, 2.2, p.Settings.CurrentA)
}

// A fixed current above what the charger's power allows at the end voltage is
// held back by the charger itself.
func TestFixedCurrentIsHeldBackByPower(t *testing.T) {
	p := plan(t, request(`"chemistry": "lipo", "cells_series": 3, "capacity_mah": 5000, "charge_percent": 20`, `, "max_charge_current_a": 4, "min_charge_current_a": 4, "max_charge_power_w": 45`, ``))
	require.NotNil(t, p.Settings, "%+v", p.Findings)
	kinds := map[PhaseKind]Phase{}
	for _, x := range p.Phases {
		kinds[x.Kind] = x
	}
	held := kinds[PowerLimited]
	require.NotZero(t, held.DurationMin)
	assert.InEpsilon(t, 45, held.EndCurrentA**held.EndVoltageV, 1e-8)
	assert.Equal(t, "power-limited", p.Findings[0].Rule)
}

func TestParallelBoardIsPlannedAsOnePack(t *testing.T) {
	const pack = `"chemistry": "lipo", "cells_series": 2, "capacity_mah": 1000, "max_charge_c_rate": 2, "cell_voltages_v": [3.8, 3.8]`
	p := plan(t, request(pack, `, "max_charge_current_a": 6`, `, "surroundings": {"parallel_board": [{`+pack+`}, {`+pack+`}]}`))
	require.NotNil(t, p.Settings, "%+v", p.Findings)
	assert.Equal(t, 3.0, p.Settings.CurrentA)
	alone := plan(t, request(pack, `, "max_charge_current_a": 6`, ``))
	assert.InEpsilon(t, 3**alone.ChargeMAh, *p.ChargeMAh, 0.01, "three packs take three times the charge")
}

func TestRecoveryComesFirst(t *testing.T) {
	p := plan(t, request(`"chemistry": "lipo", "cells_series": 2, "capacity_mah": 2200, "cell_voltages_v": [2.8, 2.9]`, `, "max_charge_current_a": 6`, ``))
	require.NotNil(t, p.Settings, "%+v", p.Findings)
	assert.Equal(t, Recovery, p.Phases[0].Kind)
	assert.Equal(t, 0.2, *p.Settings.RecoveryCurrentA)
	assert.Equal(t, 0.2, p.Phases[0].EndCurrentA)
	assert.Contains(t, p.Steps[5], "Begin at 0.2 A until every cell rests at 3 V")
}

func TestPlanIDFollowsTheRequestAndNothingElse(t *testing.T) {
	a := plan(t, least)
	b := plan(t, `{"charger": {"balance": "with_main_lead", "max_charge_current_a": 6.0, "cells_series_max": 4, "cells_series_min": 1, "chemistries": ["lipo"]},
		"pack": {"capacity_mah": 2.2e3, "cells_series": 3, "chemistry": "lipo"}}`)
	c := plan(t, full)
	assert.Equal(t, a.PlanID, b.PlanID)
	assert.NotEqual(t, a.PlanID, c.PlanID)
	assert.Len(t, a.PlanID, 64)
}

// The bar of the design: at most 40 allocations for a plan without a curve.
func TestPlanAllocatesLittle(t *testing.T) {
	pl := planner()
	for name, body := range map[string]string{"least": least, "full": full} {
		q := decode(t, body)
		assert.LessOrEqual(t, testing.AllocsPerRun(100, func() { pl.Plan(q) }), 40.0, name)
	}
}

// The charger's smallest current and what the pack allows were parted by rounding
// only: the pace was not raised, and no rule said why there was no current.
func TestAPaceIsRaisedToACurrentPartedByRounding(t *testing.T) {
	p := plan(t, request(`"chemistry": "lipo", "cells_series": 1, "capacity_mah": 10, "charge_percent": 1, "condition": [], "max_charge_c_rate": 0.9999999990686774`,
		`, "max_charge_current_a": 0.01, "min_charge_current_a": 0, "charge_current_step_a": 0.01`, `, "goal": {"pace": "gentle"}`))
	require.NotNil(t, p.Settings)
	assert.InDelta(t, 0.01, p.Settings.CurrentA, 1e-12)
}

const nickelPack = `"chemistry": "nimh", "cells_series": 3, "capacity_mah": 3000, "charge_percent": 0, "max_charge_c_rate": 1`

// A standard charge in time was set above the largest current of a charger that
// gives less.
func TestNickelDeadlineKeepsToTheChargersCurrent(t *testing.T) {
	p := plan(t, request(nickelPack, `, "max_charge_current_a": 0.2`, `, "goal": {"ready_in_min": 10000}`))
	require.NotNil(t, p.Settings)
	assert.LessOrEqual(t, p.Settings.CurrentA, 0.2)
}

// The curve of a nimh charge showed the setting where the charger's power holds
// the current below it.
func TestNickelCurveShowsTheCurrentThatFlows(t *testing.T) {
	p := plan(t, request(nickelPack, `, "min_charge_current_a": 2.5, "max_charge_current_a": 2.5, "max_charge_power_w": 9`, `, "goal": {"pace": "quick"}, "curve_points": 2`))
	require.NotNil(t, p.Settings)
	assert.InDelta(t, p.Phases[0].StartCurrentA, p.Curve[1].CurrentA, 1e-9)
	assert.Less(t, p.Curve[1].CurrentA, p.Settings.CurrentA)
}

func BenchmarkPlan(b *testing.B) {
	pl := planner()
	for _, c := range []struct{ name, body string }{
		{"least said", least},
		{"all said, cells unequal", full},
		{"ready in time", strings.TrimSuffix(full, "}") + `, "goal": {"ready_in_min": 75}}`},
	} {
		q := decode(b, c.body)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				pl.Plan(q)
			}
		})
	}
}

// The same with the trace: what trace=full costs.
func BenchmarkExplain(b *testing.B) {
	pl, q := planner(), decode(b, full)
	b.ReportAllocs()
	for b.Loop() {
		pl.Explain(q)
	}
}

// A current asked for that is parted from the charger's smallest by rounding only is
// not below it, for the limits as for the rules: no rule would say why there is none.
func TestACurrentAskedForAtTheSmallestBarRounding(t *testing.T) {
	step, asked, watts, zero, z, rate := 1.0000000037252903, 0.9999999997252903, 0.1, 0.0, 1.0, 0.01
	q := &Request{
		Pack: spec.Pack{Chemistry: spec.LiPo, CellsSeries: 1, CapacityMAh: 1e6, ChargePercent: &z, MaxChargeCRate: &rate, Condition: []spec.Condition{}},
		Charger: spec.Charger{
			Chemistries: []spec.Chemistry{spec.LiPo}, CellsSeriesMin: 1, CellsSeriesMax: 4, MinChargeCurrentA: &zero, MaxChargeCurrentA: 1000,
			ChargeCurrentStepA: &step, MaxChargePowerW: &watts, Balance: spec.BalanceWithMainLead,
		},
		Goal: &spec.Goal{CurrentA: &asked},
	}
	p := NewPlanner(cell.NewTable(), rule.All()).Plan(q)
	for _, f := range p.Findings {
		assert.NotEqual(t, "internal-fault", f.Rule)
	}
}
