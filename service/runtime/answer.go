package runtime

import "github.com/wattkeel/wattkeel/service/spec"

// Estimate says how long the pack runs the load. Its figures are a prediction,
// not an instruction: they are given whatever the verdict.
type Estimate struct {
	// Verdict is the worst severity among the findings: clear, caution or stop.
	Verdict spec.Verdict `json:"verdict"`
	// Runtime is how long the pack runs the load.
	Runtime spec.Duration `json:"runtime"`
	// StoppedBy says what ends the expected run.
	StoppedBy StoppedBy `json:"stopped_by"`
	// CyclesCompleted is how many whole cycles the pack lasts for. Absent where the load is no cycle.
	CyclesCompleted *int `json:"cycles_completed,omitempty" validate:"gte=0,lte=1000000000000000" unit:"cycles"`
	// PacksFor is how many such packs, each charged once, run the load for session_min if each lasts for the expected time. Absent without a session_min, and where a pack does not run the load for any time worth counting.
	PacksFor *int `json:"packs_for,omitempty" validate:"gte=1,lte=1000000000" unit:"packs"`
	// PacksForSurely is the same for the low end of the runtime: as many are enough whatever is not known of them. Absent where packs_for is, and where the low end is no time worth counting.
	PacksForSurely *int `json:"packs_for_surely,omitempty" validate:"gte=1,lte=1000000000" unit:"packs"`
	// UsableMAh is the charge that the run draws, in milliampere hours.
	UsableMAh float64 `json:"usable_mah" validate:"gte=0,lte=1000000000"`
	// EnergyWh is the energy that the load gets at the pack's terminals, in watt hours.
	EnergyWh float64 `json:"energy_wh" validate:"gte=0,lte=1000000000000"`
	// HeatWh is the energy that turns to heat in the pack, in watt hours, what its cells give off while they settle after the run included. With energy_wh it is what the cells lose of their stored energy.
	HeatWh float64 `json:"heat_wh" validate:"gte=0,lte=1000000000000"`
	// MeanCurrentA is the mean current of the run, pauses included, in amperes.
	MeanCurrentA float64 `json:"mean_current_a" validate:"gte=0,lte=1000000000"`
	// PeakCurrentA is the largest current that the load asks for, in amperes.
	PeakCurrentA float64 `json:"peak_current_a" validate:"gte=0,lte=1000000000"`
	// PeakCRate is that current as a multiple of the rated capacity per hour.
	PeakCRate float64 `json:"peak_c_rate" validate:"gte=0,lte=100000000000"`
	// SagV is how far the pack's voltage under load lies below its resting voltage, in volts, in the mean of the charge drawn. Absent where the run ends as it begins.
	SagV *float64 `json:"sag_v,omitempty" validate:"gte=0,lte=192"`
	// LowestVoltageV is the lowest voltage of the pack in the run, in volts; 0 where the load would pull it below that.
	LowestVoltageV float64 `json:"lowest_voltage_v" validate:"gte=0,lte=192"`
	// LowestCellV is the lowest voltage of the weakest cell in the run, in volts; 0 where the load would pull it below that.
	LowestCellV float64 `json:"lowest_cell_v" validate:"gte=0,lte=192"`
	// LeadDropV is what the main lead takes of the pack's voltage at the largest current, in volts, both its wires at 20 °C: the load gets that much less. Absent unless the pack's main lead gives wire_awg and length_mm.
	LeadDropV *float64 `json:"lead_drop_v,omitempty" validate:"gte=0,lte=1000000000000"`
	// AlarmCellVoltageV is where to set a low-voltage alarm, in volts a cell: what the weakest cell shows under this load when the reserve is reached, or the cut-off where that comes first. In a cycle it is the lowest voltage until then, so that the heaviest segment sets the alarm off. Absent for nimh, whose voltage does not tell, and where the run ends as it begins.
	AlarmCellVoltageV *float64 `json:"alarm_cell_voltage_v,omitempty" validate:"gte=0,lte=6"`
	// Temperature is the expected temperature of the pack.
	Temperature Temperature `json:"temperature"`
	// Start is the state of charge taken as the start.
	Start spec.Start `json:"start"`
	// Curve is the run sampled evenly in time, first and last moment included. Absent unless curve_points asks for it.
	Curve []Point `json:"curve,omitempty" validate:"max=500"`
	// Cautions is what to watch.
	Cautions []string `json:"cautions" validate:"max=64,dive,max=2000"`
	// Findings lists what the rules found, the worst first.
	Findings []spec.Finding `json:"findings" validate:"max=2000"`
	// Assumed lists each value the request left out.
	Assumed []spec.Assumed `json:"assumed" validate:"max=1000"`
	// NotEvaluated lists the rules that could not be judged.
	NotEvaluated []spec.NotEvaluated `json:"not_evaluated" validate:"max=1000"`
	// Versions says which service, rules and data made this answer.
	Versions spec.Versions `json:"versions"`
	// PlanID is the SHA-256, in hexadecimal, of the canonical JSON (RFC 8785) of {"request":…,"versions":…}, the request without members that say nothing: empty texts and curve_points 0.
	PlanID string `json:"plan_id" validate:"len=64" pattern:"^[0-9a-f]{64}$"`
	// Trace says how each number of the answer was worked out. Absent unless trace=full asks for it.
	Trace []spec.TraceNode `json:"trace,omitempty" validate:"omitempty,max=4096"`
}

// StoppedBy says what ends a run.
type StoppedBy string

const (
	ByCutoffVoltage StoppedBy = "cutoff_voltage" // the weakest cell's voltage under load, which a load beyond the pack's power pulls down at once
	ByReserve       StoppedBy = "reserve"        // the charge of the emptiest cell; without a reserve, when it is empty
	ByTemperature   StoppedBy = "temperature"    // the pack, as hot as it may get
)

// Enum lists what ends a run.
func (StoppedBy) Enum() []string {
	return []string{string(ByCutoffVoltage), string(ByReserve), string(ByTemperature)}
}

// Temperature is the expected temperature of the pack during the run.
// Resistance is not lowered as the pack warms, so it is on the warm side.
type Temperature struct {
	// AmbientDegC is the temperature of the surroundings taken, in degrees Celsius.
	AmbientDegC float64 `json:"ambient_degc" validate:"gte=-60,lte=150"`
	// StartDegC is the temperature of the pack at the start, in degrees Celsius.
	StartDegC float64 `json:"start_degc" validate:"gte=-60,lte=150"`
	// RiseK is how far the pack's highest temperature lies above its start, in kelvin.
	RiseK float64 `json:"rise_k" validate:"gte=0,lte=1000"`
	// PeakDegC is its highest temperature, in degrees Celsius.
	PeakDegC float64 `json:"peak_degc" validate:"gte=-60,lte=1000"`
	// EndDegC is its temperature at the end, in degrees Celsius.
	EndDegC float64 `json:"end_degc" validate:"gte=-60,lte=1000"`
	// AdiabaticDegC is where it would end if it gave off none of its heat, in degrees Celsius, from its own temperature or that of the surroundings, whichever is warmer: no run of this load makes it hotter, however well it is wrapped.
	AdiabaticDegC float64 `json:"adiabatic_degc" validate:"gte=-60,lte=1000000000"`
}

// Point is one sample of the curve.
type Point struct {
	// TS is the time since the start, in seconds.
	TS float64 `json:"t_s" validate:"gte=0,lte=1000000000000000"`
	// CurrentA is the current, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000000000"`
	// PackVoltageV is the voltage of the pack under load, in volts; 0 where the load would pull it below that.
	PackVoltageV float64 `json:"pack_voltage_v" validate:"gte=0,lte=192"`
	// LowestCellV is the voltage of the weakest cell under load, in volts; 0 where the load would pull it below that.
	LowestCellV float64 `json:"lowest_cell_v" validate:"gte=0,lte=192"`
	// ChargePercent is the mean state of charge, in percent, 0 to 100.
	ChargePercent float64 `json:"charge_percent" validate:"gte=0,lte=100"`
	// TemperatureDegC is the temperature of the pack, in degrees Celsius.
	TemperatureDegC float64 `json:"temperature_degc" validate:"gte=-60,lte=1000"`
}
