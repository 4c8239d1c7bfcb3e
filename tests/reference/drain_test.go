package reference_test

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func left(t testing.TB, body string) *drain.Estimate {
	t.Helper()
	q := &drain.Request{}
	require.NoError(t, json.Unmarshal([]byte(body), q, json.RejectUnknownMembers(true)), body)
	require.Empty(t, spec.NewValidator().Validate(q))
	return drain.NewEstimator(cell.NewTable(), rule.All()).Estimate(q)
}

// standingRows are hand calculations, and the published shares of charge that are
// left after a time; the current of the drains is told by times.
func standingRows(t *testing.T, by float64) []row {
	t.Helper()
	amp := trade("hours are ampere hours over amperes")
	month := func(clause string) source { return source{"published monthly self-discharge, " + clause, read} }
	const thisMuch = "a month is 30.44 days, and self-discharge takes its small share beside the drain"
	body := func(milli string) string {
		return `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"measured_capacity_mah":2200,"charge_percent":100},"drains":[` + milli + `],"idle_days":365}`
	}
	scaled := func(milli float64) string {
		b, err := json.Marshal(map[string]float64{"current_ma": milli * by})
		require.NoError(t, err)
		return string(b)
	}
	// 2200 mAh at 22 mA: 100 h. Self-discharge of 2 % a month adds at most
	// 2200 mAh · 0.02/730 h = 0.06 mA, 0.3 % of 22 mA.
	alarm := left(t, body(scaled(22)))
	nickel := left(t, `{"pack":{"chemistry":"nimh","cells_series":6,"capacity_mah":3000,"charge_percent":100},"idle_days":60.875}`)
	lithium := left(t, `{"pack":{"chemistry":"lipo","cells_series":1,"capacity_mah":2200,"charge_percent":100},"idle_days":91.3125}`)
	half := left(t, `{"pack":{"chemistry":"lipo","cells_series":1,"capacity_mah":1000,"measured_capacity_mah":1000,"charge_percent":50},"drains":[`+scaled(10)+`],"idle_days":1}`)
	return []row{
		num("d1", "2200 mAh at 22 mA: days until empty", 100.0/24, alarm.Cells[0].Empty.ExpectedDays, tol{rel: 0.003, why: thisMuch}, amp),
		num("d2", "1000 mAh at 50 %, 10 mA for a day: percent left", 26, half.Left.CellChargesPercent[0], tol{abs: 0.05, why: thisMuch}, amp),
		num("6f", "nimh, 30 % a month, 2 months: percent left", 49.0, nickel.Left.CellChargesPercent[0], tol{rel: 0.005, why: "published check"}, month("nimh about 30 %")),
		num("6g", "lithium, 2 % a month, 3 months: percent left", 94.1, lithium.Left.CellChargesPercent[0], tol{rel: 0.002, why: "published check"}, month("lithium-ion 2 to 3 %")),
		within("6g", "storage charge of lithium without a drain, days until a cell is unsafe", 365, 36500, left(t, `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"cell_voltages_v":[3.8,3.8,3.8]}}`).FirstUnsafe.LowDays, "a pack at storage charge keeps for a year and more", trade("a pack at storage charge is looked at every few months, and keeps for a year")),
	}
}

func TestStandingDrains(t *testing.T) {
	checkTable(t, "standing drains", standingRows(t, 1))
	mustFail(t, "an alarm that draws a tenth more", 2, standingRows(t, 1.1))
}
