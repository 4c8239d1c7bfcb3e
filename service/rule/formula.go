package rule

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Formula writes out what a Value says for the facts it was judged on, and for
// what the finding points at.
func Formula(value string, f *Facts, at []string) string {
	for _, w := range []struct {
		name string
		text func() string
	}{
		{"$rested_v", f.restedFormula},
		{"$judged_a", f.judgedFormula},
		{"$burst_a", f.burstFormula},
		{"$temperatures", f.temperatureFormula},
		{"$energy_off", f.energyFormula},
		{"$storage_h", f.storageFormula},
		{"$worn", f.wornFormula},
		{"$middle", func() string {
			if f.Pack.CellsSeries == 2 {
				return "min"
			}
			return "median"
		}},
		{"$at", func() string { return strings.ReplaceAll(strings.TrimPrefix(at[0], "/"), "/", ".") }},
	} {
		if strings.Contains(value, w.name) {
			value = strings.ReplaceAll(value, w.name, w.text())
		}
	}
	value = expand(value, "$nearest(", f.nearest)
	return expand(value, "$each(", f.each)
}

// expand replaces each call of a name by what its argument stands for.
func expand(value, call string, by func(argument string) string) string {
	for {
		before, rest, found := strings.Cut(value, call)
		if !found {
			return value
		}
		argument, after, _ := strings.Cut(rest, ")")
		value = before + by(argument) + after
	}
}

func (f *Facts) restedFormula() string {
	if len(f.Pack.CellVoltagesV) > 0 {
		return "pack.cell_voltages_v"
	}
	return "repeat(pack.pack_voltage_v / pack.cells_series, 1)"
}

// judgedFormula is the current that was judged: asked for, arrived at, or the
// charger's smallest.
func (f *Facts) judgedFormula() string {
	switch {
	case f.Current.Asked:
		return "goal.current_a"
	case f.Current.At == "/charger":
		return "current_a"
	}
	return "smallest_a"
}

func (f *Facts) temperatureFormula() string {
	pack, room := "pack.temperature_degc", "surroundings.ambient_degc"
	switch {
	case f.Pack.TemperatureDegC == nil:
		return room + ", " + room
	case f.roomDegC() == nil:
		return pack + ", " + pack
	}
	return pack + ", " + room
}

// each lists a field of the pack and of all others on the board.
func (f *Facts) each(field string) string {
	parts := []string{"pack." + field}
	for i := range f.Surroundings.ParallelBoard {
		parts = append(parts, fmt.Sprintf("surroundings.parallel_board.%d.%s", i, field))
	}
	return strings.Join(parts, ", ")
}

// nearest is how many percent a printed cell voltage is from the nearest nominal
// voltage that labels print.
func (f *Facts) nearest(printed string) string {
	parts := []string{"abs(" + printed + " / chem.nominal_cell_v - 1) * 100"}
	for i := range f.Chemistry.NominalAltV {
		parts = append(parts, fmt.Sprintf("abs(%s / chem.nominal_cell_v_%d - 1) * 100", printed, i+1))
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "min(" + strings.Join(parts, ", ") + ")"
}

func (f *Facts) energyFormula() string {
	if f.Pack.NominalVoltageV != nil {
		return "abs(pack.energy_wh / (pack.nominal_voltage_v * pack.capacity_mah / 1000) - 1) * 100"
	}
	return f.nearest("pack.energy_wh * 1000 / pack.capacity_mah / pack.cells_series")
}

func (f *Facts) storageFormula() string {
	const z = "first(chem.open_circuit(z) >= chem.storage_cell_v, z, 0 - 1, 1)"
	byCharge := "(1 - " + z + ") * pack.capacity_mah / 1000 / charger.max_discharge_current_a"
	byEnergy := "pack.cells_series * pack.capacity_mah / 1000 * integral(chem.open_circuit(x), x, " + z + ", 1) / charger.max_discharge_power_w"
	switch c := f.Charger; {
	case c.MaxDischargeCurrentA == nil:
		return byEnergy
	case *c.MaxDischargePowerW < LeastDischargeW:
		return byCharge
	}
	return "max(" + byCharge + ", " + byEnergy + ")"
}

// wornFormula is the median resistance over that of a new pack (worn).
func (f *Facts) wornFormula() string {
	reading := "median(pack.cell_resistances_mohm) / 1000"
	switch f.Pack.ResistanceMethod {
	case spec.DC10s:
		reading += " / constant.ten_second_ratio"
	case spec.DCShort:
		reading += " / constant.one_second_ratio"
	}
	degc := "constant.reference_degc"
	if f.Pack.TemperatureDegC != nil {
		degc = "pack.temperature_degc"
	}
	return reading + " / (" + NewReading("pack.max_discharge_c_rate", "(pack.capacity_mah / 1000)", degc) + ")"
}

// NewReading is the formula of cell.NewReading for a printed discharge rate, or for
// none, a capacity in ampere hours and a temperature.
func NewReading(rate, ah, degc string) string {
	product := "chem.typical_resistance"
	if rate != "" {
		product = "min(max(chem.rated_sag_v / " + rate + ", chem.typical_resistance / constant.rating_earned_most), chem.typical_resistance * constant.rating_earned_most)"
	}
	return product + " / " + ah + " * exp(constant.activation_energy / constant.gas_constant * (1 / (max(" + degc + ", constant.coldest_degc) + constant.zero_celsius_k) - 1 / (constant.reference_degc + constant.zero_celsius_k)))"
}
