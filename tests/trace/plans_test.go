package trace

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

func explain(t testing.TB, body string) (*charge.Request, *charge.Plan) {
	t.Helper()
	q, err := api.NewDecoder[charge.Request](spec.NewValidator()).Decode([]byte(body))
	require.NoError(t, err, body)
	return q, charge.NewPlanner(cell.NewTable(), rule.All()).Explain(q)
}

func request(t testing.TB, change string) string {
	t.Helper()
	body, err := os.ReadFile("../contract/testdata/readme-request.json")
	require.NoError(t, err)
	var doc, patch map[string]any
	require.NoError(t, json.Unmarshal(body, &doc))
	require.NoError(t, json.Unmarshal([]byte(change), &patch))
	merge(doc, patch)
	out, err := json.Marshal(doc)
	require.NoError(t, err)
	return string(out)
}

// merge changes a document by RFC 7396.
func merge(doc, patch map[string]any) {
	for name, v := range patch {
		inner, isObject := v.(map[string]any)
		have, hasObject := doc[name].(map[string]any)
		switch {
		case name == "goal":
			doc[name] = v
			if v == nil {
				delete(doc, name)
			}
		case v == nil:
			delete(doc, name)
		case isObject && hasObject:
			merge(have, inner)
		default:
			doc[name] = v
		}
	}
}

func TestEveryNumberOfAPlanFollowsFromItsTrace(t *testing.T) {
	for _, c := range []struct{ name, change string }{
		{"ready in time", `{"goal":{"ready_in_min":75}}`},
		{"an everyday charge with a curve", `{"goal":null,"curve_points":9,"energy_price_per_kwh":0.3}`},
		{"one sample", `{"goal":null,"curve_points":1}`},
		{"nothing said", `{"goal":null,"surroundings":{"attended":true},"pack":{"cell_voltages_v":null,"temperature_degc":null,"nominal_voltage_v":null,"max_charge_c_rate":null,"max_discharge_c_rate":null,"cycles":120},"charger":{"charge_current_step_a":null,"min_charge_current_a":null,"supply":null,"balance_current_a":null}}`},
		{"cells apart", `{"pack":{"cell_voltages_v":[3.70,3.72,3.715],"cell_resistances_mohm":[6,7,9],"temperature_degc":12},"goal":{"pace":"gentle"},"curve_points":7}`},
		{"cells apart, in time", `{"pack":{"cell_voltages_v":[3.70,3.72,3.715],"cell_resistances_mohm":[6,7,9]},"goal":{"ready_in_min":300}}`},
		{"no balancing", `{"pack":{"cell_voltages_v":[3.70,3.72,3.715]},"charger":{"balance":"none"},"goal":{"pace":"quick"},"curve_points":4}`},
		{"deeply discharged", `{"pack":{"cell_voltages_v":[2.95,2.96,2.955]},"goal":{"current_a":4},"curve_points":6}`},
		{"deeply discharged, coarse steps", `{"pack":{"cell_voltages_v":[2.95,2.96,2.955]},"charger":{"charge_current_step_a":0.2}}`},
		{"near the taper", `{"goal":{"current_a":0.5},"pack":{"cell_resistances_mohm":[9,9,12],"resistance_method":"dc_10s","measured_capacity_mah":1900}}`},
		{"near the taper, cells apart", `{"goal":{"current_a":0.4},"pack":{"cell_voltages_v":[3.75,3.72,3.73]},"taper_c_rate":0.15}`},
		{"nearly full", `{"pack":{"cell_voltages_v":[4.15,4.15,4.16]},"goal":{"pace":"everyday"},"curve_points":5}`},
		{"full", `{"pack":{"cell_voltages_v":[4.2,4.2,4.2]},"curve_points":3}`},
		{"late", `{"goal":{"ready_in_min":20}}`},
		{"held back by power", `{"pack":{"cells_series":4,"cell_voltages_v":[4.06,4.06,4.065,4.06],"nominal_voltage_v":14.8,"max_charge_c_rate":5},"charger":{"min_charge_current_a":6,"max_charge_power_w":60,"supply":null},"goal":{"pace":"quick"},"curve_points":3}`},
		{"a fixed current", `{"charger":{"min_charge_current_a":2,"max_charge_current_a":2},"goal":{"pace":"gentle"}}`},
		{"a hot one", `{"pack":{"capacity_mah":1000,"max_charge_c_rate":15,"cell_resistances_mohm":[60,60,60],"max_discharge_c_rate":null,"temperature_degc":42,"cell_voltages_v":null,"charge_percent":60},"charger":{"max_charge_current_a":20,"max_charge_power_w":500,"supply":null},"goal":{"pace":"quick"}}`},
		{"half a pack", `{"pack":{"cell_voltages_v":null,"charge_percent":50},"target_cell_voltage_v":4.1,"taper_c_rate":0.05}`},
		{"by the pack's voltage", `{"pack":{"cell_voltages_v":null,"pack_voltage_v":11.2,"mass_g":180,"main_lead":{"wire_awg":16,"connector_max_current_a":30}},"goal":null}`},
		{"a small pack", `{"pack":{"capacity_mah":950},"goal":null}`},
		{"iron phosphate, level", `{"pack":{"chemistry":"lifepo4","nominal_voltage_v":null,"cell_voltages_v":[3.28,3.281,3.279],"max_charge_c_rate":null},"charger":{"chemistries":["lifepo4"]},"goal":null,"curve_points":5}`},
		{"high voltage", `{"pack":{"chemistry":"lihv","nominal_voltage_v":11.4,"measured_capacity_mah":1700},"charger":{"chemistries":["lihv"]},"goal":null}`},
		{"cylinders", `{"pack":{"chemistry":"liion","nominal_voltage_v":null,"max_charge_c_rate":null,"condition":["unknown_history"]},"goal":null}`},
		{"a board", `{"pack":{"cell_resistances_mohm":[6,6,6]},"surroundings":{"parallel_board":[{"chemistry":"lipo","cells_series":3,"capacity_mah":1500,"max_charge_c_rate":2,"cell_voltages_v":[3.73,3.72,3.72],"cell_resistances_mohm":[20,20,20],"resistance_method":"dc_10s","measured_capacity_mah":1400,"max_discharge_c_rate":25,"temperature_degc":8,"cycles":40}]},"goal":null,"curve_points":3}`},
		{"a board in time", `{"surroundings":{"parallel_board":[{"chemistry":"lipo","cells_series":3,"capacity_mah":1500,"cell_voltages_v":[3.73,3.72,3.72]}]}}`},
		{"an unlike board", `{"surroundings":{"parallel_board":[{"chemistry":"liion","cells_series":3,"capacity_mah":1500,"cell_voltages_v":[2.3,4.3,3.72],"temperature_degc":50,"energy_wh":90}]}}`},
		{"nimh, fast", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":10,"nominal_voltage_v":null,"max_charge_c_rate":1,"measured_capacity_mah":2800},"goal":null,"curve_points":4}`},
		{"nimh, by the clock", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"nominal_voltage_v":null,"max_charge_c_rate":null},"goal":null,"curve_points":1}`},
		{"nimh, in between", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":0,"nominal_voltage_v":null,"max_charge_c_rate":1},"goal":{"current_a":0.8}}`},
		{"nimh, no hurry and a weak charger", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":0,"nominal_voltage_v":null,"max_charge_c_rate":1},"charger":{"max_charge_current_a":0.2},"goal":{"ready_in_min":10000}}`},
		{"nimh, in time", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":0,"nominal_voltage_v":null,"max_charge_c_rate":1},"goal":{"ready_in_min":120}}`},
		{"nimh, plenty of time", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":0,"nominal_voltage_v":null,"max_charge_c_rate":1},"goal":{"ready_in_min":2000}}`},
		{"nimh, held back by power", `{"pack":{"chemistry":"nimh","cells_series":4,"capacity_mah":3000,"cell_voltages_v":null,"charge_percent":0,"nominal_voltage_v":null,"max_charge_c_rate":1},"charger":{"min_charge_current_a":2.5,"max_charge_current_a":2.5,"max_charge_power_w":12},"goal":{"pace":"quick"},"curve_points":3}`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			change := c.change
			if !strings.Contains(change, `"goal"`) {
				change = `{"goal":null,` + change[1:]
			}
			body := request(t, change)
			_, p := explain(t, body)
			require.NotEmpty(t, p.Trace)
			for _, complaint := range Complaints(body, p, p.Trace, underRace) {
				assert.Fail(t, complaint)
			}
			t.Logf("%s, %d nodes", p.Verdict, len(p.Trace))
		})
	}
}

// explained is an answer with its trace and what the rules found.
type explained struct {
	answer   any
	nodes    []spec.TraceNode
	findings []spec.Finding
}

// explainers ask a question by the name that rows have for it, with a trace.
func explainers() map[string]func(body []byte) (explained, error) {
	cells, rules, v := cell.NewTable(), rule.All(), spec.NewValidator()
	planner, drains := charge.NewPlanner(cells, rules), drain.NewEstimator(cells, rules)
	runs := runtime.NewEstimator(cells, rules)
	plans, standing, running := api.NewDecoder[charge.Request](v), api.NewDecoder[drain.Request](v), api.NewDecoder[runtime.Request](v)
	store, stores := storage.NewPlanner(cells, rules, planner), api.NewDecoder[storage.Request](v)
	plan := func(body []byte) (explained, error) {
		q, err := plans.Decode(body)
		if err != nil {
			return explained{}, err
		}
		p := planner.Explain(q)
		return explained{p, p.Trace, p.Findings}, nil
	}
	return map[string]func(body []byte) (explained, error){
		"charge-plan": plan,
		"pack-check":  plan, // a pack check with a charger can be asked as a plan
		"runtime-estimate": func(body []byte) (explained, error) {
			q, err := running.Decode(body)
			if err != nil {
				return explained{}, err
			}
			a := runs.Explain(q)
			return explained{a, a.Trace, a.Findings}, nil
		},
		"storage-plan": func(body []byte) (explained, error) {
			q, err := stores.Decode(body)
			if err != nil {
				return explained{}, err
			}
			p := store.Explain(q)
			return explained{p, p.Trace, p.Findings}, nil
		},
		"standing-drain": func(body []byte) (explained, error) {
			q, err := standing.Decode(body)
			if err != nil {
				return explained{}, err
			}
			a := drains.Explain(q)
			return explained{a, a.Trace, a.Findings}, nil
		},
	}
}

// Each row of the rules' book, asked with a trace: what the rules find follows from
// it too, and every rule that judges a number is among them.
func TestEveryFindingFollowsFromItsTrace(t *testing.T) {
	text, err := os.ReadFile("../rules/rows.json")
	require.NoError(t, err)
	var book struct {
		Bases map[string]json.RawMessage
		Rows  []struct {
			Name, Rule, Base, Question string
			Change                     map[string]any
		}
	}
	require.NoError(t, json.Unmarshal(text, &book))
	ask := explainers()
	found, asked := map[string]bool{}, 0
	for _, row := range book.Rows {
		doc := map[string]any{}
		if row.Base != "" {
			require.NoError(t, json.Unmarshal(book.Bases[row.Base], &doc))
		}
		merge(doc, row.Change)
		if row.Question == "pack-check" {
			delete(doc, "settings")
			delete(doc, "idle_days")
		}
		body, err := json.Marshal(doc)
		require.NoError(t, err)
		explain := ask[row.Question]
		if explain == nil {
			continue // an answer without a trace
		}
		x, err := explain(body)
		if err != nil {
			continue // a pack check without a charger
		}
		asked++
		for i := range x.findings {
			if x.findings[i].Value != nil {
				found[x.findings[i].Rule] = true
			}
		}
		for _, complaint := range Complaints(string(body), x.answer, x.nodes, true) {
			assert.Fail(t, complaint, "%s: %s", row.Rule, row.Name)
		}
	}
	t.Logf("%d answers, %d rules with numbers", asked, len(found))
	assert.Greater(t, asked, 400)
	for _, r := range rule.All() {
		traced := r.Family != rule.Moving && r.ID != "end-voltage-program-mismatch" // which only a pack check can break
		if r.Value != "" && !r.Idle && traced {
			assert.True(t, found[r.ID], "no row makes an answer find %s", r.ID)
		}
	}
}

// The comparison can fail: a value, a formula, a missing node and a number without
// a node are noticed.
func TestATraceThatIsWrongIsNoticed(t *testing.T) {
	body := request(t, `{"goal":null}`)
	spoil := func(id string, by func(*spec.TraceNode)) {
		_, p := explain(t, body)
		for i := range p.Trace {
			if p.Trace[i].ID == id {
				by(&p.Trace[i])
			}
		}
		assert.NotEmpty(t, Complaints(body, p, p.Trace, true), id)
	}
	spoil("rated_ah", func(n *spec.TraceNode) { *n.Value *= 1 + 3e-9 })
	spoil("cell_charge", func(n *spec.TraceNode) { n.Values[1] += 1e-8 })
	spoil("taper_a", func(n *spec.TraceNode) { n.Formula = "taper_c_rate * rated_ah * 2" })
	spoil("label_a", func(n *spec.TraceNode) { n.Formula = "7 * rated_ah"; n.Inputs = []string{"rated_ah"} })
	spoil("pack.capacity_mah", func(n *spec.TraceNode) { n.ID = "capacity" })
	spoil("pack.capacity_mah", func(n *spec.TraceNode) { *n.Value++ })
	spoil("taper_c_rate", func(n *spec.TraceNode) { n.Source = nil })
	spoil("charge_mah", func(n *spec.TraceNode) { n.At = nil })
	spoil("charge_mah", func(n *spec.TraceNode) { n.At = []string{"/charge_mah", "/wall_cost"} })
	_, p := explain(t, body)
	w := newWorld(p.Trace)
	for _, id := range []string{"main_s", "cell_heat_j", "peak_degc"} {
		n := w.nodes[id]
		*n.Value *= 1 + 3e-9
		v, err := w.recompute(n)
		require.NoError(t, err)
		assert.Greater(t, apart(n, v, w), tolerance, id)
	}
}
