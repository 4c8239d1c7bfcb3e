package charge

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
)

// example is the pack and charger of the design's contract (invented).
const example = `{
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

func decode(t testing.TB, body string) *Request {
	t.Helper()
	q := &Request{}
	require.NoError(t, json.Unmarshal([]byte(body), q, json.RejectUnknownMembers(true)))
	return q
}

func planner() *Planner { return NewPlanner(cell.NewTable(), rule.All()) }

// least is the least a request can say.
const least = `{"pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200},
  "charger": {"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 4, "max_charge_current_a": 6, "balance": "with_main_lead"}}`

func BenchmarkPlan(b *testing.B) {
	pl := planner()
	for _, c := range []struct{ name, body string }{{"least said", least}, {"all said, cells unequal", example}} {
		q := decode(b, c.body)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				pl.Plan(q)
			}
		})
	}
}

func TestShow(t *testing.T) {
	out, err := json.Marshal(planner().Plan(decode(t, example)))
	require.NoError(t, err)
	t.Log(string(out))
}
