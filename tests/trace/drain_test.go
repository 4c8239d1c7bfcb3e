package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func explainDrain(t *testing.T, body string) *drain.Estimate {
	t.Helper()
	q, err := api.NewDecoder[drain.Request](spec.NewValidator()).Decode([]byte(body))
	require.NoError(t, err)
	return drain.NewEstimator(cell.NewTable(), rule.All()).Explain(q)
}

func TestEveryStandingDrainFollowsFromItsTrace(t *testing.T) {
	for name, body := range map[string]string{
		"an alarm":              `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":850,"cell_voltages_v":[3.82,3.81,3.83]},"drains":[{"current_ma":4},{"current_ma":9,"cells":[1,2]},{"current_ma":2,"cells":[3]}],"idle_days":40}`,
		"nothing known":         `{"pack":{"chemistry":"lipo","cells_series":2,"capacity_mah":2200},"drains":[{"current_ma":15}]}`,
		"left until it is dead": `{"pack":{"chemistry":"lihv","cells_series":2,"capacity_mah":2200,"charge_percent":60},"drains":[{"current_ma":15}],"idle_days":900}`,
		"deeply discharged":     `{"pack":{"chemistry":"lipo","cells_series":2,"capacity_mah":2200,"cell_voltages_v":[2.8,3.3]},"drains":[],"idle_days":2000}`,
		"flat curve":            `{"pack":{"chemistry":"lifepo4","cells_series":4,"capacity_mah":1800,"pack_voltage_v":13.2,"measured_capacity_mah":1700},"drains":[{"current_ma":0}],"idle_days":0}`,
		"cylinders":             `{"pack":{"chemistry":"liion","cells_series":1,"capacity_mah":3400,"charge_percent":100},"idle_days":365}`,
		"nimh":                  `{"pack":{"chemistry":"nimh","cells_series":6,"capacity_mah":3000,"charge_percent":80},"drains":[{"current_ma":3},{"current_ma":5,"cells":[6]}],"idle_days":90}`,
		"nimh, nothing known":   `{"pack":{"chemistry":"nimh","cells_series":6,"capacity_mah":3000,"cell_voltages_v":[1.2,1.2,1.2,1.2,1.2,1.2]}}`,
	} {
		t.Run(name, func(t *testing.T) {
			a := explainDrain(t, body)
			for _, complaint := range Complaints(body, a, a.Trace, false) {
				assert.Fail(t, complaint)
			}
		})
	}
}

// The comparison can fail.
func TestADrainTraceThatIsWrongIsNoticed(t *testing.T) {
	const body = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":850},"drains":[{"current_ma":9,"cells":[1,2]}],"idle_days":40}`
	for _, id := range []string{"drain_ma", "leak_per_day", "safe_start_days", "cell_left", "soonest_unsafe_days"} {
		a := explainDrain(t, body)
		for i := range a.Trace {
			if n := &a.Trace[i]; n.ID == id {
				if n.Value != nil {
					*n.Value *= 1 + 3e-9
				} else {
					n.Values[0] *= 1 + 3e-9
				}
			}
		}
		assert.NotEmpty(t, Complaints(body, a, a.Trace, false), id)
	}
}
