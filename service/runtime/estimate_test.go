package runtime

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The packs and loads are invented: Tern Quay Model Boats.
const tug = `{"pack":{"id":"tq-031","chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"constant_current","current_a":4}}`

func estimate(t testing.TB, body string) *Estimate {
	t.Helper()
	var q Request
	require.NoError(t, json.Unmarshal([]byte(body), &q))
	require.Empty(t, spec.NewValidator().Validate(&q))
	return NewEstimator(cell.NewTable(), rule.All()).Estimate(&q)
}

func TestPrint(t *testing.T) {
	for _, body := range []string{
		tug,
		`{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"max_discharge_c_rate":45,"burst_discharge_c_rate":90,"cell_voltages_v":[4.19,4.18,4.19],"cell_resistances_mohm":[5.1,5.3,5.0]},"load":{"kind":"cycle","segments":[{"duration_s":8,"current_a":70},{"duration_s":12,"current_a":25},{"duration_s":10,"current_a":0}]},"session_min":20,"ambient_degc":18}`,
		`{"pack":{"chemistry":"nimh","cells_series":5,"capacity_mah":2000},"load":{"kind":"constant_power","power_w":8},"session_min":90}`,
		`{"pack":{"chemistry":"lifepo4","cells_series":2,"capacity_mah":2500},"load":{"kind":"constant_resistance","resistance_ohm":1.5},"curve_points":3}`,
		`{"pack":{"chemistry":"lipo","cells_series":2,"capacity_mah":450,"charge_percent":30},"load":{"kind":"constant_power","power_w":400},"cutoff":{"cell_voltage_v":2.5}}`,
	} {
		out := estimate(t, body)
		b, err := json.MarshalIndent(out, "", " ")
		require.NoError(t, err)
		t.Log(string(b))
	}
}

func BenchmarkEstimate(b *testing.B) {
	for name, body := range map[string]string{
		"current": tug,
		"power":   `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"constant_power","power_w":50}}`,
		"cycle":   `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"cycle","segments":[{"duration_s":4,"current_a":40},{"duration_s":6,"current_a":5}]}}`,
	} {
		b.Run(name, func(b *testing.B) {
			var q Request
			require.NoError(b, json.Unmarshal([]byte(body), &q))
			e := NewEstimator(cell.NewTable(), rule.All())
			b.ReportAllocs()
			for range b.N {
				e.Estimate(&q)
			}
		})
	}
}
