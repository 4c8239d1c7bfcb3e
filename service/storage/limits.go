package storage

import (
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	paceC         = 1.0 // common practice, as the rest: see constants
	unprintedC    = 1.0
	gentleC       = 0.5
	assumedStepA  = 0.1
	assumedBleedA = 0.2
	stopStepV     = 0.01
	timeStepMin   = 5.0
	cutoffStepMAh = 10.0
)

// limits gathers every limit on the current of a discharge and picks the current.
type limits struct {
	list     []Limit
	step     float64
	current  float64 // what to set; 0 where there is no such current
	chargerA float64 // the charger's largest; +Inf where only its power limits it
	powerW   float64 // +Inf where it is not limited
	noWay    string  // why the charger cannot do it
	at       string  // what that rests on
}

func (l *limits) add(name LimitName, a float64, because string) {
	l.list = append(l.list, Limit{Name: name, CurrentA: a, Because: because})
}

// gather lists the limits on a discharge of the expected pack, in the order in
// which they are reported, and picks the current.
func (l *limits) gather(w *work, groups []sim.Group) {
	l.list = w.s.limits[:0]
	l.pack(w)
	c, p := w.q.Charger, w.pen
	l.charger(c)
	if l.noWay != "" {
		return
	}
	if !math.IsInf(l.chargerA, 1) {
		l.add(LimitChargerCurrent, l.chargerA, "the charger's largest discharge current")
	}
	if c.Balance == spec.BalanceLeadOnly && w.q.Pack.Chemistry.Lithium() {
		l.add(LimitBalanceLead, rule.BalanceLeadA, "the current goes through the balance lead, which carries 3 A")
	}
	a := l.least()
	if a >= l.chargerA*(1-1e-9) {
		l.current = l.chargerA // its largest current is one that it can be set to
	} else {
		l.current = spec.Round9(math.Floor(a/l.step+1e-9) * l.step)
	}
	if l.current <= 0 {
		l.noWay = p.S("the smallest current that the charger can be set to, ").N(l.step).S(" A, is more than this pack may give").End()
		l.at = "/charger/charge_current_step_a"
		return
	}
	e, r := w.rested(groups)
	l.power(e, r, p)
	because := "the charger's largest current can be set"
	if l.current != l.chargerA {
		because = p.S("the charger is set in steps of ").N(l.step).S(" A").End()
	}
	l.add(LimitChargerStep, l.current, because)
	l.bind()
}

// pack lists what the pack itself allows, whatever takes its charge.
func (l *limits) pack(w *work) {
	pack, p, ah := &w.q.Pack, w.pen, w.q.Pack.CapacityMAh/1000
	l.add(LimitPace, paceC*ah, "no more than 1 C: nobody waits for a pack to be stored")
	if r := pack.MaxDischargeCRate; r != nil {
		l.add(LimitLabel, *r*ah, p.S("the label's discharge rate of ").N(*r).S(" C").End())
	} else {
		l.add(LimitLabel, unprintedC*ah, "no discharge rate printed, so 1 C")
	}
	if lead := pack.MainLead; lead != nil {
		if a := lead.ConnectorMaxCurrentA; a != nil {
			l.add(LimitConnector, *a, "the connector's rating")
		}
		if lead.WireAWG != nil {
			l.add(LimitWire, cell.WireCurrent(*lead.WireAWG), p.S("what ").I(*lead.WireAWG).S(" AWG wire carries for hours in still air").End())
		}
	}
	if w.gentle() {
		l.add(LimitCondition, gentleC*ah, "a worn pack, or one of unknown history, is treated gently: 0.5 C")
	}
	if w.chem.Curve != nil {
		l.add(LimitLoadedFloor, w.loadedFloorA(), p.S("at storage charge no cell may fall below ").N(w.chem.LoadedFloor.Value).S(" V under load").End())
	}
}

// loadedFloorA is the current at which a cell at storage charge would show the
// least voltage it may have under load.
func (w *work) loadedFloorA() float64 {
	ohm := 0.0
	for i := range w.model.Groups {
		ohm = max(ohm, w.model.Groups[i].Ohm.Expected)
	}
	return (w.chem.StorageV.Value - w.chem.LoadedFloor.Value) / ohm
}

// charger finds what the charger can do.
func (l *limits) charger(c *spec.Charger) {
	l.chargerA, l.powerW, l.at = math.Inf(1), math.Inf(1), "/charger"
	switch {
	case c == nil:
		l.noWay = "no charger is given"
		return
	case c.MaxDischargeCurrentA == nil && c.MaxDischargePowerW == nil:
		l.noWay, l.at = "the charger's discharge current and power are not given", "/charger/max_discharge_current_a"
		return
	case c.MaxDischargeCurrentA != nil && *c.MaxDischargeCurrentA < rule.LeastDischargeA:
		l.noWay, l.at = "the charger cannot discharge", "/charger/max_discharge_current_a"
		return
	case c.MaxDischargePowerW != nil && *c.MaxDischargePowerW < rule.LeastDischargeW:
		l.noWay, l.at = "the charger cannot discharge", "/charger/max_discharge_power_w"
		return
	}
	if a := c.MaxDischargeCurrentA; a != nil {
		l.chargerA = *a
	}
	if p := c.MaxDischargePowerW; p != nil {
		l.powerW = *p
	}
	l.step = assumedStepA
	if s := c.ChargeCurrentStepA; s != nil {
		l.step = spec.Round9(*s)
	}
}

// power lists what the charger's power allows at the starting voltage e, the
// highest, over a resistance r: the current rises from there.
func (l *limits) power(e, r float64, p *spec.Pen) {
	if math.IsInf(l.powerW, 1) {
		return
	}
	if a := sim.LoweringCurrent(e, r, l.powerW); !math.IsInf(a, 1) {
		l.add(LimitChargerPower, a, p.S("the charger's ").N(l.powerW).S(" W at the starting voltage; as that falls, the current rises").End())
	}
}

// rested is the rested voltage and the resistance of some groups together.
func (w *work) rested(groups []sim.Group) (e, r float64) {
	for _, g := range groups {
		e += g.Count * w.chem.Curve.Voltage(g.Charge)
		r += g.Count * g.Ohm
	}
	return e, r
}

func (l *limits) least() float64 {
	a := math.Inf(1)
	for i := range l.list {
		a = min(a, l.list[i].CurrentA)
	}
	return a
}

// bind marks the one limit that sets the current at the start.
func (l *limits) bind() {
	best := 0
	for i := range l.list {
		if l.list[i].CurrentA < l.list[best].CurrentA*(1-1e-9) {
			best = i
		}
	}
	l.list[best].Binding = true
}

// byPower is what the charger's power allows at the start, and whether that holds
// the current below what is set.
func (l *limits) byPower() (a float64, binds bool) {
	i := slices.IndexFunc(l.list, func(x Limit) bool { return x.Name == LimitChargerPower })
	if i < 0 || l.list[i].CurrentA >= l.current*(1-1e-9) {
		return 0, false
	}
	return l.list[i].CurrentA, true
}

// rounded is the list as it is answered.
func (l *limits) rounded() []Limit {
	out := slices.Clone(l.list)
	for i := range out {
		out[i].CurrentA = spec.Round9(out[i].CurrentA)
	}
	return out
}
