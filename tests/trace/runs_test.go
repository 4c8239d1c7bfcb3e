package trace

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
)

// run is an invented request for a run-time estimate with a JSON Merge Patch applied.
func run(t testing.TB, change string) string {
	t.Helper()
	const sound = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"max_discharge_c_rate":30,"cell_voltages_v":[4.18,4.17,4.18],
		"cell_resistances_mohm":[5.1,5.3,5.0],"temperature_degc":19,"mass_g":190},"load":{"kind":"constant_current","current_a":20},"ambient_degc":21}`
	var doc, patch map[string]any
	require.NoError(t, json.Unmarshal([]byte(sound), &doc))
	require.NoError(t, json.Unmarshal([]byte(change), &patch))
	merge(doc, patch)
	out, err := json.Marshal(doc)
	require.NoError(t, err)
	return string(out)
}

func explainRun(t testing.TB, body string) *runtime.Estimate {
	t.Helper()
	q, err := api.NewDecoder[runtime.Request](spec.NewValidator()).Decode([]byte(body))
	require.NoError(t, err, body)
	return runtime.NewEstimator(cell.NewTable(), rule.All()).Explain(q)
}

func TestEveryNumberOfARunFollowsFromItsTrace(t *testing.T) {
	const cycle = `"load":{"kind":"cycle","current_a":null,"segments":`
	for _, c := range []struct{ name, change string }{
		{"a current", `{"session_min":30}`},
		{"a current with a curve", `{"curve_points":5}`},
		{"one sample", `{"curve_points":1}`},
		{"a current to the cut-off", `{"load":{"current_a":30},"cutoff":{"cell_voltage_v":3.3}}`},
		{"a current to the heat", `{"load":{"current_a":30},"pack":{"mass_g":80,"temperature_degc":45}}`},
		{"nothing said", `{"pack":{"cell_voltages_v":null,"cell_resistances_mohm":null,"temperature_degc":null,"mass_g":null,"max_discharge_c_rate":null,"cycles":80},"ambient_degc":null,"load":{"current_a":2}}`},
		{"too much current", `{"load":{"current_a":900},"curve_points":2,"session_min":10}`},
		{"already empty", `{"pack":{"cell_voltages_v":[3.6,3.6,3.61]},"curve_points":2}`},
		{"a power", `{"load":{"kind":"constant_power","current_a":null,"power_w":180},"curve_points":4}`},
		{"a power to the cut-off, unlike cells", `{"load":{"kind":"constant_power","current_a":null,"power_w":230},"cutoff":{"cell_voltage_v":3.2,"reserve_percent":0},"pack":{"cell_resistances_mohm":[5,8,5],"main_lead":{"wire_awg":16,"length_mm":150,"connector_max_current_a":15}}}`},
		{"too much power", `{"load":{"kind":"constant_power","current_a":null,"power_w":18000},"curve_points":2}`},
		{"a resistor", `{"load":{"kind":"constant_resistance","current_a":null,"resistance_ohm":0.6},"curve_points":3}`},
		{"a resistor on iron phosphate", `{"pack":{"chemistry":"lifepo4","cell_voltages_v":null,"charge_percent":90,"measured_capacity_mah":2100},"load":{"kind":"constant_resistance","current_a":null,"resistance_ohm":0.9},"cutoff":{"cell_voltage_v":2.7}}`},
		{"a cycle", `{` + cycle + `[{"duration_s":20,"current_a":30},{"duration_s":40,"current_a":5},{"duration_s":10,"current_a":0}]},"curve_points":4,"session_min":20}`},
		{"a cycle to the cut-off", `{` + cycle + `[{"duration_s":8,"current_a":70},{"duration_s":12,"current_a":20}]},"cutoff":{"cell_voltage_v":3.2,"reserve_percent":10}}`},
		{"a cycle to the heat", `{"pack":{"mass_g":90},` + cycle + `[{"duration_s":30,"current_a":50},{"duration_s":60,"current_a":2}]}}`},
		{"a cycle of powers", `{` + cycle + `[{"duration_s":30,"power_w":250},{"duration_s":60,"power_w":20},{"duration_s":15,"current_a":6}]},"curve_points":3}`},
		{"nimh", `{"pack":{"chemistry":"nimh","cells_series":6,"cell_voltages_v":null,"cell_resistances_mohm":null},"load":{"current_a":5},"curve_points":3}`},
		{"nimh, a resistor", `{"pack":{"chemistry":"nimh","cells_series":6,"cell_voltages_v":null,"charge_percent":80,"nominal_voltage_v":7.2,"cell_resistances_mohm":[6,6,7,6,6,6]},"load":{"kind":"constant_resistance","current_a":null,"resistance_ohm":2},"cutoff":{"reserve_percent":10}}`},
		{"a board's worth of cold", `{"pack":{"temperature_degc":-5,"resistance_method":"dc_10s"},"ambient_degc":-5,"load":{"current_a":8}}`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			body := run(t, c.change)
			e := explainRun(t, body)
			require.NotEmpty(t, e.Trace)
			for _, complaint := range Complaints(body, e, e.Trace, underRace) {
				assert.Fail(t, complaint)
			}
			t.Logf("%s by %s, %d nodes", e.Verdict, e.StoppedBy, len(e.Trace))
		})
	}
}

// The comparison can fail for runs as well.
func TestARunsTraceThatIsWrongIsNoticed(t *testing.T) {
	const cycle = `{"load":{"kind":"cycle","current_a":null,"segments":[{"duration_s":60,"current_a":25},{"duration_s":60,"current_a":5}]}}`
	spoil := func(change, id string, by func(*spec.TraceNode)) {
		body := run(t, change)
		e := explainRun(t, body)
		found := false
		for i := range e.Trace {
			if e.Trace[i].ID == id {
				by(&e.Trace[i])
				found = true
			}
		}
		assert.True(t, found, id)
		assert.NotEmpty(t, Complaints(body, e, e.Trace, false), id)
	}
	for _, change := range []string{`{}`, cycle} { // whole, there is nothing to notice
		body := run(t, change)
		e := explainRun(t, body)
		require.Empty(t, Complaints(body, e, e.Trace, false))
	}
	off := func(n *spec.TraceNode) { *n.Value *= 1 + 3e-9 }
	for _, id := range []string{"expected_s", "drawn_c", "least_s", "most_s", "heat_j", "stored_j", "lowest_pack_v", "alarm_cell_voltage_v", "by_start_s", "peak_degc"} {
		spoil(`{}`, id, off)
	}
	spoil(`{}`, "end_state", func(n *spec.TraceNode) { n.Values[1] += 1e-6 })
	spoil(`{}`, "change_of", func(n *spec.TraceNode) {
		n.Formula = "list(1 / u, (1 - w / u) / polar_s, warming_k(u, w, d, f), heat_w(u, w, f) / u, u)"
	})
	spoil(cycle, "expected_cycles", func(n *spec.TraceNode) { *n.Value++ })
	spoil(cycle, "expected_segment", func(n *spec.TraceNode) { *n.Value = 1 - *n.Value })
	spoil(cycle, "least_s", off)
	spoil(cycle, "lowest_cell_v", off)
	spoil(cycle, "segment_end_s", func(n *spec.TraceNode) { n.Values[0]++ })
}
