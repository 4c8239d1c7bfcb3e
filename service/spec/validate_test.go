package spec

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every slip is told with what was received and what to write instead. Pointers
// are those of RFC 6901.
func TestValidateSaysWhatToWriteInstead(t *testing.T) {
	f := func(x float64) *float64 { return &x }
	good := func() *Pack { return &Pack{Chemistry: LiPo, CellsSeries: 3, CapacityMAh: 2200} }
	cases := []struct {
		name    string
		change  func(p *Pack)
		pointer string
		says    string
	}{
		{"amp hours for milliampere hours", func(p *Pack) { p.CapacityMAh = 2.2 }, "/capacity_mah", "capacity_mah is 2.2: this looks like amp hours; write 2200"},
		{"no capacity", func(p *Pack) { p.CapacityMAh = 0 }, "/capacity_mah", "capacity_mah is missing or 0; write a number (milliampere hours)"},
		{"a misspelled chemistry", func(p *Pack) { p.Chemistry = "lippo" }, "/chemistry", `did you mean "lipo"?`},
		{"a trade name for a chemistry", func(p *Pack) { p.Chemistry = "polymer" }, "/chemistry", "write one of lipo, lihv, liion, lifepo4, nimh"},
		{"millivolts for volts", func(p *Pack) { p.CellVoltagesV = []float64{3710, 3.7, 3.7} }, "/cell_voltages_v/0", "this looks like millivolts; write 3.71"},
		{"a pack voltage for a cell's", func(p *Pack) { p.CellVoltagesV = []float64{3.7, 11.1, 3.7} }, "/cell_voltages_v/1", "this looks like a pack voltage"},
		{"a reading too few", func(p *Pack) { p.CellVoltagesV = []float64{3.7, 3.7} }, "/cell_voltages_v", "cell_voltages_v has 2 values but cells_series is 3"},
		{"resistances of another pack", func(p *Pack) { p.CellResistancesMOhm = []float64{6, 6, 6, 6} }, "/cell_resistances_mohm", "has 4 values but cells_series is 3"},
		{"two starts of charge", func(p *Pack) { p.ChargePercent, p.PackVoltageV = f(50), f(11.4) }, "", "keep the one you measured"},
		{"more volts than cells can have", func(p *Pack) { p.PackVoltageV = f(22.2) }, "/pack_voltage_v", "7.4 V a cell"},
		{"a negative mass", func(p *Pack) { p.MassG = f(-3) }, "/mass_g", "it cannot be negative"},
		{"a date in words", func(p *Pack) { p.MadeOn = "March 2025" }, "/made_on", `write a date as YYYY-MM-DD`},
		{"more than full", func(p *Pack) { p.ChargePercent = f(101) }, "/charge_percent", "charge_percent is 101; write 100 or less (percent)"},
		{"a condition twice", func(p *Pack) { p.Condition = []Condition{Swollen, Swollen} }, "/condition", "condition repeats a value; list each once"},
		{"a condition nobody knows", func(p *Pack) { p.Condition = []Condition{"puffy"} }, "/condition/0", "write one of swollen,"},
		{"too many cells", func(p *Pack) { p.CellsSeries = 40 }, "/cells_series", "cells_series is 40; write 32 or less"},
	}
	v := NewValidator()
	require.Empty(t, v.Validate(good()))
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := good()
			c.change(p)
			faults := v.Validate(p)
			require.Len(t, faults, 1, "%+v", faults)
			assert.Equal(t, c.pointer, faults[0].Pointer)
			assert.Contains(t, faults[0].Detail, c.says)
			assert.NotEmpty(t, faults[0].Rule)
		})
	}
}

func TestValidateReportsEverythingAtOnce(t *testing.T) {
	p := &Pack{Chemistry: "x", CellsSeries: 3, CapacityMAh: 5, CellVoltagesV: []float64{9}}
	var pointers []string
	for _, f := range NewValidator().Validate(p) {
		pointers = append(pointers, f.Pointer)
	}
	assert.Equal(t, []string{"/chemistry", "/capacity_mah", "/cell_voltages_v/0", "/cell_voltages_v"}, pointers)
}

func TestUnitOfReadsTheLongestSuffix(t *testing.T) {
	for field, want := range map[string]string{
		"capacity_mah": "milliampere hours", "typical_mohm_ah": "milliohm ampere hours", "cell_resistances_mohm": "milliohms",
		"max_charge_c_rate": "multiples of the rated capacity per hour", "ready_in_min": "minutes", "cells_series_min": "", "id": "",
		"temperature_slope_k_per_min": "kelvin per minute", "charge_percent": "percent",
	} {
		assert.Equal(t, want, UnitOf(field), field)
	}
}

func TestNearestNamesOnlyWhatIsNear(t *testing.T) {
	words := LiPo.Enum()
	assert.Equal(t, "lipo", Nearest("LiPo", words))
	assert.Equal(t, "lifepo4", Nearest("lifepo", words))
	assert.Empty(t, Nearest("lead_acid", words))
	assert.Empty(t, Nearest("", words))
}
