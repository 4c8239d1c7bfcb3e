package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// nimh is nickel-metal hydride: charged by time and charge, ended by its
// voltage drop or temperature slope, never by a voltage.
func nimh() *Chemistry {
	return &Chemistry{
		Name:        spec.NiMH,
		NominalV:    Param{1.2, spec.Practice("labels print 1.2 V a cell")},
		LoadedFloor: Param{1.0, nickelStandard("0.2 It discharge to 1.0 V a cell")},
		Zones: []Zone{
			{math.Inf(-1), 0, 0, smallCellSheet("charge 0 to 45 °C")},
			{0, 10, 0.1, smallCellSheet("fast charge 10 to 45 °C: the standard rate only below 10 °C")},
			{10, 40, math.Inf(1), smallCellSheet("fast charge 10 to 45 °C")},
			{40, 45, 0.5, warmZone()},
			{45, math.Inf(1), 0, smallCellSheet("charge 0 to 45 °C")},
		},
		NoCurve:   "a rested nimh cell shows nearly the same voltage full or half empty, and it shifts with temperature, age and the last use: no open-circuit table can tell its charge",
		Typical:   Param{0.020, recalled(spec.Handbook, "3 to 5 Ah cells: 4 to 8 milliohms on a 1 kHz meter")},
		RatedSagV: Param{0.20, recalled(spec.Handbook, "3 to 5 Ah cells: 5 milliohms at a printed 40 A")},
		DefaultC:  Param{0.1, nickelStandard("0.1 It for 16 h")},
		MostSoldC: Param{2, spec.Practice("no nimh pack is sold for charging above 2 C")},
		LifeDays:  Param{5 * 365, spec.Practice("about five years")},
		EnergyJKg: Param{75 * wattHour, recalled(spec.Handbook, "nimh packs, 60 to 100 Wh/kg")},
		Leak:      nickelLeak(),
		Fast: FastLimit{
			DropV:         Param{0.005, smallCellSheet("voltage drop 5 mV a cell")},
			SlopeHalfC:    Param{0.8 / secondsInMinute, smallCellSheet("0.8 °C/min at 0.5 C")},
			SlopeOneC:     Param{0.9 / secondsInMinute, smallCellSheet("0.9 °C/min at 1 C")},
			CutoffDegC:    Param{45, smallCellSheet("temperature cut-off 45 to 55 °C; the lower end")},
			IgnoreFirst:   Param{10 * secondsInMinute, smallCellSheet("a voltage drop in the first 5 to 15 min is ignored")},
			MostC:         Param{1, smallCellSheet("fast charge 0.5 to 1 C")},
			LeastC:        Param{0.5, smallCellSheet("fast charge 0.5 to 1 C")},
			FastInput:     Param{1.05, smallCellSheet("timer at 105 % of capacity")},
			StandardC:     Param{0.1, nickelStandard("0.1 It for 16 h")},
			StandardInput: Param{1.6, nickelStandard("0.1 It for 16 h: 1.6 times the rated capacity")},
			ChargeV:       Param{1.45, recalled(spec.Handbook, "mean voltage of a nimh cell under charge")},
			RestV:         Param{1.32, recalled(spec.Handbook, "reversible voltage of the metal hydride/nickel hydroxide pair")},
		},
	}
}

func nickelStandard(clause string) spec.Source {
	return spec.Source{Kind: spec.Standard, Title: "IEC 61951-2:2017", Clause: clause + "; as summarized by D. F. Quintero Pulido et al., Batteries 11(1), 30 (2025)", Year: 2017, Standing: spec.Read}
}

func smallCellSheet(clause string) spec.Source {
	return spec.Source{Kind: spec.Handbook, Title: "A small nimh cell's published specification", Clause: clause, Standing: spec.Read}
}
