package storage

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// explainer describes the steps of one plan, in the explain_….go files.
type explainer struct {
	*trace.Explainer

	w *work
}

func (w *work) explain() []spec.TraceNode {
	e := &explainer{Explainer: trace.NewExplainer(w.q, w.chem, w.plan.Assumed, w.pl.every), w: w}
	e.Describe("constant.", constants())
	e.Model(&w.model, &w.q.Pack)
	e.target()
	if w.charged != nil {
		e.adopted()
	} else {
		e.start()
		e.down()
		for i := range w.plan.Findings {
			e.Finding(fmt.Sprintf("/findings/%d", i), &w.plan.Findings[i], &w.s.facts, "pack.")
		}
	}
	if w.plan.Ageing != nil {
		e.ageing()
	}
	e.ShowAssumed()
	return e.Nodes()
}

// target describes what a stored cell should hold.
func (e *explainer) target() {
	w := e.w
	b := &w.band
	target, to := "charge_at(chem.storage_cell_v)", "target_charge + constant.ageing_plateau"
	if w.chem.Curve == nil {
		target, to = "(constant.least_stored + constant.most_nickel_stored) / 2", "constant.most_nickel_stored"
	} else {
		e.Show("/target_cell_voltage_v", "chemistry."+string(w.chem.Name)+".storage_cell_v")
	}
	e.Set("target_charge", "ratio", b.target, target)
	e.SetShown("/target_charge_percent", "target_charge_percent", "percent", b.target*100, "target_charge * 100")
	e.SetShown("/leave_from_percent", "leave_from_percent", "percent", b.from*100, "constant.least_stored * 100")
	e.SetShown("/leave_to_percent", "leave_to_percent", "percent", b.to*100, "("+to+") * 100")
}

func (e *explainer) start() {
	groups := e.w.model.Groups
	list, sum := make([]float64, len(groups)), 0.0
	for i := range groups {
		list[i] = max(groups[i].Charge.Expected, 0) * 100
		sum += list[i]
	}
	e.SetShown("/start/charge_percent", "start_percent", "percent", sum/float64(len(list)), "mean(max(cell_charge, 0)) * 100")
	e.ListShown("/start/cell_charges_percent/*", "cell_percent", "percent", list, "max(cell_charge, 0) * 100")
}

// adopted takes over what the charge plan says of the numbers that come from it.
func (e *explainer) adopted() {
	w := e.w
	foreign := []string{"/settings/charge_cutoff_mah", "/wall_", "/temperature/", "/balancing/left_out_mah", "/assumed/"}
	e.Adopt(w.charged.Trace, func(at string) bool {
		for _, f := range foreign {
			if strings.HasPrefix(at, f) || strings.HasPrefix(at, "/curve/") && strings.HasSuffix(at, "/temperature_degc") {
				return false
			}
		}
		return true
	})
	if s := w.plan.Settings; s != nil {
		e.SetShown("/settings/charge_cutoff_mah", "storage_cutoff_mah", "mah", s.ChargeCutoffMAh, "max(ceil(round9(charge_mah) / constant.store_cutoff_step_mah - 1e-9), 1) * constant.store_cutoff_step_mah")
	}
}

// ageing describes the calendar loss of capacity (cell.CalendarLoss).
func (e *explainer) ageing() {
	w := e.w
	open := "chem.open_circuit"
	if w.chem.Name == spec.LiFePO4 {
		e.DescribeChemistry(w.pl.cells.Get(spec.LiIon))
		open = "chemistry.liion.open_circuit"
	}
	low, high := "constant.ageing_other_low", "constant.ageing_other_high"
	if w.chem.Name == spec.LiIon {
		low, high = "constant.ageing_low", "constant.ageing_high"
	}
	e.SetShown("/ageing/idle_days", "lying_days", "days", w.days, "idle_days")
	e.SetShown("/ageing/ambient_degc", "lying_degc", "degc", w.model.Thermal.AmbientDegC, "ambient_degc")
	e.Function("calendar_loss", "v", "percent", "min(max(constant.ageing_per_v * v - constant.ageing_offset, 0) * constant.ageing_scale * exp(0 - constant.ageing_k / (max(lying_degc, constant.coldest_degc) + constant.zero_celsius_k)) * lying_days ^ constant.ageing_exponent, 1) * 100")
	least, most := cell.AgeingRange(w.chem.Name)
	loss := func(at, id, charge string, z float64) {
		v := max(w.ageingCurve().Voltage(z), 0)
		x := cell.CalendarLoss(v, w.model.Thermal.AmbientDegC, w.days) * 100
		e.SetShown(at+"cell_voltage_v", id+"_v", "v", v, "max("+open+"("+charge+"), 0)")
		e.SetShown(at+"expected_percent", id+"_percent", "percent", x, "calendar_loss("+id+"_v)")
		e.SetShown(at+"low_percent", id+"_low_percent", "percent", x*least, id+"_percent * "+low)
		e.SetShown(at+"high_percent", id+"_high_percent", "percent", min(x*most, 100), "min("+id+"_percent * "+high+", 100)")
	}
	loss("/ageing/as_it_stands/", "as_it_stands", "max(cell_charge)", w.extreme(highest))
	loss("/ageing/at_storage_charge/", "at_storage_charge", "target_charge", w.band.target)
}
