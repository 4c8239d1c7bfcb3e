package trace

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

// stored is a full pack on a charger that discharges at a few watts.
const stored = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"max_charge_c_rate":5,"max_discharge_c_rate":30,
  "cell_voltages_v":[4.18,4.18,4.18],"cell_resistances_mohm":[6.1,6.3,6.0],"temperature_degc":21,"condition":[]},
 "charger":{"chemistries":["lipo","liion","lihv","lifepo4","nimh"],"cells_series_min":1,"cells_series_max":6,"min_charge_current_a":0.1,"max_charge_current_a":6,"charge_current_step_a":0.1,
  "max_charge_power_w":60,"balance":"with_main_lead","balance_current_a":0.3,"cell_count":"detected","storage_program":true,"max_discharge_current_a":1,"max_discharge_power_w":8},
 "idle_days":60,"surroundings":{"attended":true,"ambient_degc":19}}`

func storeRequest(t *testing.T, change string) string {
	t.Helper()
	var doc, patch map[string]any
	require.NoError(t, json.Unmarshal([]byte(stored), &doc))
	require.NoError(t, json.Unmarshal([]byte(change), &patch), change)
	merge(doc, patch)
	out, err := json.Marshal(doc)
	require.NoError(t, err)
	return string(out)
}

func explainStored(t testing.TB, body string) *storage.Plan {
	t.Helper()
	q, err := api.NewDecoder[storage.Request](spec.NewValidator()).Decode([]byte(body))
	require.NoError(t, err, body)
	cells := cell.NewTable()
	return storage.NewPlanner(cells, rule.All(), charge.NewPlanner(cells, rule.All())).Explain(q)
}

func TestEveryNumberOfAStoragePlanFollowsFromItsTrace(t *testing.T) {
	for _, c := range []struct {
		name, change string
		light        bool // what takes long to recompute is the same as in another
	}{
		{"a few watts", `{"curve_points":3}`, false},
		{"hours", `{"pack":{"capacity_mah":5000},"charger":{"max_discharge_power_w":5},"curve_points":1}`, false},
		{"watts, then amperes", `{"charger":{"max_discharge_power_w":12},"pack":{"cell_voltages_v":[4.05,4.05,4.05]},"curve_points":3}`, false},
		{"watts alone", `{"charger":{"max_discharge_current_a":null,"max_discharge_power_w":20,"storage_program":false}}`, true},
		{"amperes alone, a discharge program", `{"charger":{"max_discharge_power_w":null,"storage_program":null},"curve_points":3}`, false},
		{"cells apart", `{"pack":{"cell_voltages_v":[3.95,3.9,3.92]},"charger":{"max_discharge_power_w":null},"curve_points":4}`, false},
		{"cells apart, a few watts", `{"pack":{"cell_voltages_v":[3.95,3.9,3.92]},"charger":{"max_discharge_power_w":5}}`, true},
		{"cells apart, no balancing", `{"pack":{"cell_voltages_v":[3.95,3.9,3.92]},"charger":{"balance":"none"},"curve_points":1}`, false},
		{"one cell high", `{"pack":{"cell_voltages_v":[3.92,3.79,3.79]},"curve_points":4}`, false},
		{"nothing said", `{"idle_days":null,"pack":{"cell_voltages_v":null,"cell_resistances_mohm":null,"temperature_degc":null,"max_discharge_c_rate":null,"condition":null,"cycles":90},"charger":{"charge_current_step_a":null,"balance_current_a":null},"surroundings":null,"curve_points":2}`, true},
		{"a lead, a wire and an unknown past", `{"pack":{"main_lead":{"wire_awg":22,"connector_max_current_a":0.9},"condition":["unknown_history"]}}`, true},
		{"by the balance lead", `{"charger":{"balance":"balance_lead_only","max_discharge_current_a":20,"max_discharge_power_w":200},"pack":{"capacity_mah":8000}}`, true},
		{"a step that is too coarse", `{"pack":{"capacity_mah":300,"max_discharge_c_rate":null},"charger":{"charge_current_step_a":0.5}}`, true},
		{"steps that bind", `{"pack":{"capacity_mah":750,"max_discharge_c_rate":null}}`, true},
		{"no charger", `{"charger":null}`, false},
		{"no charger, a current", `{"charger":null,"load":{"kind":"constant_current","current_a":12}}`, false},
		{"no charger, a power", `{"charger":null,"load":{"kind":"constant_power","power_w":90}}`, false},
		{"no charger, a resistance", `{"charger":null,"load":{"kind":"constant_resistance","resistance_ohm":2.2},"pack":{"main_lead":{"wire_awg":16,"connector_max_current_a":30}}}`, false},
		{"no charger, a cycle", `{"charger":null,"load":{"kind":"cycle","segments":[{"duration_s":10,"current_a":15},{"duration_s":5,"power_w":60},{"duration_s":20,"current_a":0},{"duration_s":1,"power_w":200},{"duration_s":1,"current_a":1},{"duration_s":1,"current_a":2},{"duration_s":1,"current_a":3},{"duration_s":1,"current_a":4},{"duration_s":1,"current_a":5},{"duration_s":1,"power_w":6}]}}`, false},
		{"a load that is too much", `{"charger":null,"load":{"kind":"constant_current","current_a":120}}`, true},
		{"a charger that cannot", `{"charger":{"max_discharge_current_a":0,"storage_program":false}}`, true},
		{"high voltage", `{"pack":{"chemistry":"lihv","cell_voltages_v":[4.33,4.33,4.33]}}`, true},
		{"cylinders", `{"pack":{"chemistry":"liion","cell_voltages_v":[4.15,4.16,4.15],"measured_capacity_mah":1700},"charger":{"max_discharge_current_a":2,"max_discharge_power_w":5}}`, false},
		{"iron phosphate", `{"pack":{"chemistry":"lifepo4","cell_voltages_v":null,"charge_percent":95}}`, false},
		{"iron phosphate, level", `{"pack":{"chemistry":"lifepo4","cell_voltages_v":[3.30,3.301,3.30]}}`, true},
		{"by the pack's voltage", `{"pack":{"cell_voltages_v":null,"pack_voltage_v":12.3}}`, true},
		{"near enough", `{"pack":{"cell_voltages_v":[3.82,3.82,3.83]}}`, false},
		{"for a week", `{"idle_days":7}`, false},
		{"too far apart", `{"charger":{"balance":"none"},"pack":{"cell_voltages_v":[3.92,3.79,3.79]}}`, false},
		{"nimh", `{"pack":{"chemistry":"nimh","cell_voltages_v":null,"charge_percent":80,"cell_resistances_mohm":null}}`, false},
		{"nimh, nothing said", `{"pack":{"chemistry":"nimh","cell_voltages_v":null,"cell_resistances_mohm":null}}`, false},
		{"charged up", `{"pack":{"cell_voltages_v":[3.5,3.5,3.51]},"curve_points":5}`, false},
		{"charged up, near the taper", `{"pack":{"cell_voltages_v":[3.6,3.6,3.61],"capacity_mah":20000},"charger":{"max_charge_current_a":2}}`, false},
		{"charged up from deep down", `{"idle_days":null,"pack":{"cell_voltages_v":[2.9,2.92,2.92]}}`, false},
		{"charged up, held back", `{"pack":{"cell_voltages_v":[3.5,3.5,3.5]},"charger":{"max_charge_power_w":10,"min_charge_current_a":2,"supply":{"power_w":40}}}`, false},
		{"charged up, no charger", `{"pack":{"cell_voltages_v":[3.5,3.5,3.5]},"charger":null}`, false},
		{"swollen", `{"pack":{"condition":["swollen"]}}`, false},
		{"swollen and empty", `{"pack":{"condition":["swollen"],"cell_voltages_v":[3.5,3.5,3.5]}}`, false},
		{"overcharged", `{"pack":{"cell_voltages_v":[4.3,4.18,4.18]}}`, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			body := storeRequest(t, c.change)
			p := explainStored(t, body)
			require.NotEmpty(t, p.Trace)
			bare := *p
			bare.Trace = nil
			for _, complaint := range Complaints(body, bare, p.Trace, underRace || c.light) {
				assert.Fail(t, complaint)
			}
			t.Logf("%s, %s, %d nodes", p.Verdict, p.Action, len(p.Trace))
		})
	}
}

// Each row of the rules' book about a pack check, asked as a storage plan: packs of
// every kind and fault, with and without a charger.
func TestEveryRowAskedAsAStoragePlanFollowsFromItsTrace(t *testing.T) {
	text, err := os.ReadFile("../rules/rows.json")
	require.NoError(t, err)
	var book struct {
		Bases map[string]json.RawMessage
		Rows  []struct {
			Name, Base, Question string
			Change               map[string]any
		}
	}
	require.NoError(t, json.Unmarshal(text, &book))
	explain, asked := explainers()["storage-plan"], 0
	for _, row := range book.Rows {
		if row.Question != "pack-check" {
			continue
		}
		doc := map[string]any{}
		if row.Base != "" {
			require.NoError(t, json.Unmarshal(book.Bases[row.Base], &doc))
		}
		merge(doc, row.Change)
		delete(doc, "settings")
		body, err := json.Marshal(doc)
		require.NoError(t, err)
		x, err := explain(body)
		if err != nil {
			continue // a parallel board
		}
		asked++
		for _, complaint := range Complaints(string(body), x.answer, x.nodes, true) {
			assert.Fail(t, complaint, row.Name)
		}
	}
	assert.Greater(t, asked, 300)
}

// The comparison can fail on a storage plan too: a value, a formula, a parameter and
// a number without a node are noticed.
func TestAStorageTraceThatIsWrongIsNoticed(t *testing.T) {
	body := storeRequest(t, `{"charger":null}`)
	spoil := func(id string, by func(*spec.TraceNode)) {
		p := explainStored(t, body)
		nodes, found := p.Trace, false
		p.Trace = nil
		for i := range nodes {
			if nodes[i].ID == id {
				by(&nodes[i])
				found = true
			}
		}
		require.True(t, found, id)
		assert.NotEmpty(t, Complaints(body, p, nodes, true), id)
	}
	spoil("target_charge", func(n *spec.TraceNode) { *n.Value *= 1 + 3e-9 })
	spoil("down_c", func(n *spec.TraceNode) { n.Formula = "down_c_of(capacity_c, cell_charge) * 2" })
	spoil("resistor_ohm", func(n *spec.TraceNode) { *n.Value = 11 })
	spoil("constant.e24", func(n *spec.TraceNode) { n.Values[2] = 1.25 })
	spoil("constant.e24", func(n *spec.TraceNode) { n.Source = nil })
	spoil("as_it_stands_percent", func(n *spec.TraceNode) { *n.Value *= 1.00001 })
	spoil("constant.ageing_k", func(n *spec.TraceNode) { *n.Value++ })
	spoil("wait_expected_days", func(n *spec.TraceNode) { n.At = nil })
	p := explainStored(t, storeRequest(t, `{}`))
	w := newWorld(p.Trace)
	for _, id := range []string{"main_s", "cell_heat_j", "seen_c"} {
		n := w.nodes[id]
		*n.Value *= 1 + 3e-9
		v, err := w.recompute(n)
		require.NoError(t, err)
		assert.Greater(t, apart(n, v, w), tolerance, id)
	}
}
