package rule

import (
	"fmt"
	"math"
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// boardRules judge packs that are joined in parallel.
func boardRules() []Rule { return []Rule{boardMismatch()} }

func boardMismatch() Rule {
	return Rule{
		ID: "parallel-board-mismatch", Family: OnCharger, Since: "0.1.0", Levels: []Level{from(spec.Stop, 100, "mv")},
		Title:     "Packs that do not match are joined in parallel",
		Rationale: "Joined packs charge each other at once, with nothing to limit the current: unlike cells, chemistries or voltages overheat leads and cells.",
		Remedy:    "charge them one by one, or bring them within 100 mV a cell of each other first; measure every cell before joining",
		Source:    practice("only packs of one chemistry and cell count, within 0.1 V a cell, are joined on a parallel board"),
		Applies:   func(f *Facts) bool { return f.Surroundings != nil && len(f.Surroundings.ParallelBoard) > 0 },
		Check: func(f *Facts, out *Out) {
			for i := range f.Surroundings.ParallelBoard {
				compare(f.Pack, &f.Surroundings.ParallelBoard[i], "/surroundings/parallel_board/"+strconv.Itoa(i), out)
			}
		},
	}
}

func compare(a, b *spec.Pack, where string, out *Out) {
	switch {
	case a.Chemistry != b.Chemistry:
		out.Say(0, fmt.Sprintf("a %s pack is joined to a %s pack", b.Chemistry, a.Chemistry), where+"/chemistry", "/pack/chemistry")
	case a.CellsSeries != b.CellsSeries:
		out.Say(0, fmt.Sprintf("a pack of %d cells in series is joined to one of %d", b.CellsSeries, a.CellsSeries), where+"/cells_series", "/pack/cells_series")
	case !a.Chemistry.Lithium():
		out.Say(0, "nimh packs are joined in parallel, where the voltage drop that ends their charge cannot be seen", where+"/chemistry")
	case len(a.CellVoltagesV) == 0 || len(b.CellVoltagesV) == 0:
		out.Say(0, "packs are joined without the cell voltages of both, so nobody knows what current will flow between them", where+"/cell_voltages_v", "/pack/cell_voltages_v")
	default:
		apart := 0.0
		for i := range a.CellVoltagesV {
			apart = max(apart, math.Abs(a.CellVoltagesV[i]-b.CellVoltagesV[i])*1000)
		}
		if apart > out.Limit(0)+1e-6 {
			out.Hit(0, apart, out.Limit(0), fmt.Sprintf("cells joined in parallel rest %s mV apart", spec.Short(apart)), where+"/cell_voltages_v", "/pack/cell_voltages_v")
		}
	}
	if len(b.Condition) > 0 {
		out.Say(0, fmt.Sprintf("a pack joined in parallel is listed as %s", b.Condition[0]), where+"/condition/0")
	}
}
