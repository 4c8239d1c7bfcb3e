package runtime

import (
	"fmt"
	"strings"
	"testing"
)

// BenchmarkHostile is the dearest that can be asked: many unlike cells, and a cycle that is followed to
// its limit, or with as many segments as there may be.
func BenchmarkHostile(b *testing.B) {
	var volts, ohms, cycle, powers []string
	for i := range 32 {
		volts = append(volts, fmt.Sprint(4.1+float64(i)*0.001))
		ohms = append(ohms, fmt.Sprint(5+float64(i)*0.01))
	}
	for i := range 64 {
		cycle = append(cycle, fmt.Sprintf(`{"duration_s":0.01,"current_a":%g}`, float64(i%7)*0.001))
		powers = append(powers, fmt.Sprintf(`{"duration_s":%g,"power_w":%g}`, 1+float64(i%3), 210+float64(i%5)))
	}
	pack := `"pack":{"chemistry":"lipo","cells_series":32,"capacity_mah":3300,"cell_voltages_v":[` + strings.Join(volts, ",") + `],"cell_resistances_mohm":[` + strings.Join(ohms, ",") + `]}`
	for name, body := range map[string]string{
		"leaps":    `{` + pack + `,"load":{"kind":"cycle","segments":[` + strings.Join(cycle, ",") + `]},"curve_points":500}`,
		"powers":   `{` + pack + `,"load":{"kind":"cycle","segments":[` + strings.Join(powers, ",") + `]},"curve_points":500}`,
		"light":    `{` + pack + `,"load":{"kind":"constant_power","power_w":0.001}}`,
		"resistor": `{` + pack + `,"load":{"kind":"constant_resistance","resistance_ohm":3}}`,
	} {
		b.Run(name, func(b *testing.B) {
			for range b.N {
				e := estimate(b, body)
				b.ReportMetric(e.Runtime.ExpectedMin, "min")
			}
		})
	}
}
