package rule

import (
	"fmt"
	"strconv"
	"strings"

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
		Source:    spec.Practice("only packs of one chemistry and cell count, within 0.1 V a cell, are joined on a parallel board"),
		Value:     "max(max($each(cell_voltages_v)) - min($each(cell_voltages_v))) * 1000",
		Applies:   func(f *Facts) bool { return f.Surroundings != nil && len(f.Surroundings.ParallelBoard) > 0 },
		Check: func(f *Facts, out *Out) {
			all := append([]spec.Pack{*f.Pack}, f.Surroundings.ParallelBoard...)
			for i := 1; i < len(all); i++ {
				if unlike(&all[0], &all[i], boardAt(i-1), out) {
					return
				}
			}
			apart, cellIndex := widest(all)
			if apart > out.Limit(0)+1e-6 {
				out.Hit(0, apart, out.Limit(0), fmt.Sprintf("between the packs joined in parallel, cell %d differs by %s mV", cellIndex+1, spec.Beside(apart, out.Limit(0))), "/surroundings/parallel_board", "/pack/cell_voltages_v")
			}
		},
	}
}

func boardAt(i int) string { return "/surroundings/parallel_board/" + strconv.Itoa(i) }

// widest is the largest difference, in millivolts, between cells that are
// joined, over all packs, and which cells they are.
func widest(packs []spec.Pack) (mV float64, cellIndex int) {
	for j := range packs[0].CellVoltagesV {
		low, high := packs[0].CellVoltagesV[j], packs[0].CellVoltagesV[j]
		for i := range packs {
			low, high = min(low, packs[i].CellVoltagesV[j]), max(high, packs[i].CellVoltagesV[j])
		}
		if d := (high - low) * 1000; d > mV {
			mV, cellIndex = d, j
		}
	}
	return mV, cellIndex
}

// unlike reports packs that must not be joined whatever their voltages, and
// packs whose voltages are not known.
func unlike(a, b *spec.Pack, where string, out *Out) bool {
	found := true
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
		found = false
	}
	for i, c := range b.Condition {
		if c != spec.UnknownHistory {
			out.Say(0, fmt.Sprintf("a pack joined in parallel is listed as %s", c), where+"/condition/"+strconv.Itoa(i))
			found = true
		}
	}
	return found
}

// evaluateBoard judges every other pack on a parallel board by itself: the
// rules about a pack alone, and those about its temperature. What is found
// points at the pack on the board.
func (j *Judge) evaluateBoard(f *Facts, out *Out) {
	if f.Surroundings == nil {
		return
	}
	for i := range f.Surroundings.ParallelBoard {
		p := &f.Surroundings.ParallelBoard[i]
		own := Out{}
		own.all(j.board, &Facts{Pack: p, AsOf: f.AsOf, Chemistries: f.Chemistries, Chemistry: f.Chemistries.Get(p.Chemistry)}, false)
		for k := range own.findings {
			own.findings[k].At = moved(own.findings[k].At, boardAt(i))
		}
		for k := range own.notEvaluated {
			own.notEvaluated[k].Missing = moved(own.notEvaluated[k].Missing, boardAt(i))
		}
		out.findings = append(out.findings, own.findings...)
		out.notEvaluated = append(out.notEvaluated, own.notEvaluated...)
	}
}

// moved are pointers into a pack that stands elsewhere. Pointers into anything
// else stay as they are.
func moved(pointers []string, to string) []string {
	out := make([]string, len(pointers))
	for i, p := range pointers {
		if rest, into := strings.CutPrefix(p, "/pack"); into {
			p = to + rest
		}
		out[i] = p
	}
	return out
}
