package charge

import (
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// explainer describes the steps of one plan, in the explain_….go files beside the
// code that they explain.
type explainer struct {
	*trace.Explainer

	w *work
}

func (w *work) explain(judge *rule.Judge) []spec.TraceNode {
	e := &explainer{Explainer: trace.NewExplainer(w.q, w.facts.Chemistry, w.plan.Assumed, judge), w: w}
	e.Describe("constant.", constants())
	for _, p := range w.boardPacks() {
		e.DescribeChemistry(w.facts.Chemistries.Get(p.Chemistry))
	}
	e.joined()
	e.Model(&w.model, w.pack)
	e.limits()
	if w.limits.current > 0 {
		if w.facts.Chemistry.Curve != nil {
			e.functions()
			e.charge()
			e.span()
		} else {
			e.nickel()
		}
	}
	e.answer()
	return e.Nodes()
}

// constants are those of the planner: what is done at the bench, and where its
// own searches look.
func constants() []cell.Constant {
	c := func(name, unit string, x float64, says string, source spec.Source) cell.Constant {
		return cell.Constant{Name: name, Unit: unit, Says: says, Param: cell.Param{Value: x, Source: source}}
	}
	practice := func(name, unit string, x float64, says string) cell.Constant {
		return c(name, unit, x, says, spec.Practice(says))
	}
	derived := func(name, unit string, x float64, says, from string) cell.Constant {
		return c(name, unit, x, says, spec.Source{Kind: spec.Derived, Title: from})
	}
	const sign = "the sign of the derivative of the time by the resistance, (ln(c/c_end) - 1)/k on a linear curve"
	return []cell.Constant{
		practice("gentle_c_rate", "c_rate", gentleC, "0.5 C is the gentle rate"),
		practice("everyday_c_rate", "c_rate", everydayC, "1 C is the everyday rate"),
		practice("assumed_step_a", "a", assumedStepA, "hobby chargers are set in tenths of an ampere"),
		practice("time_step_min", "min", timeStepMin, "a time limit is set in steps of five minutes"),
		practice("clock_step_min", "min", clockStepMin, "the clock that ends a charge is set to the minute"),
		practice("cutoff_step_mah", "mah", cutoffStepMAh, "a charge cut-off is set in steps of 10 mAh"),
		practice("surely_earlier", "ratio", surelyEarlier, "the voltage drop may end a nimh charge 5 % before its least time"),
		derived("far_from_taper", "ratio", farAbove, "from this multiple of the taper on more resistance surely lengthens a charge", sign+", is positive above e = 2.718 times the taper"),
		derived("far_from_full", "ratio", farFull, "while every cell begins below this charge", sign+", where the curve is nearly linear from there on"),
		derived("far_from_top_v", "v", farTop, "and no cell lies more than this above its rested voltage", sign+", where the curve is nearly linear from there on"),
		derived("last_of_curve", "ratio", sim.LastOfCurve, "an overcharged cell goes on at the slope of the curve's last hundredth", "the open-circuit curve, continued"),
		derived("search_grid", "count", float64(thorough().grid), "the even steps with which a search over the range of resistance begins", "the grid is a choice of this service; golden section follows between the neighbors of its best point"),
	}
}
