package charge

import "github.com/wattkeel/wattkeel/service/spec"

// Plan says whether and how to charge the pack. With verdict stop it holds no
// settings, limits, phases, times or curve: only what was found and what to do
// about it.
type Plan struct {
	// Verdict is the worst severity among the findings: clear, caution or stop.
	Verdict spec.Verdict `json:"verdict"`
	// Settings is what to set on the charger. Absent when the verdict is stop.
	Settings *Settings `json:"settings,omitempty"`
	// Limits lists every current limit considered; exactly one binds.
	Limits []Limit `json:"limits,omitempty" validate:"max=32"`
	// Start is the state of charge taken as the start.
	Start spec.Start `json:"start"`
	// Phases are the phases of the charge, in order.
	Phases []Phase `json:"phases,omitempty" validate:"max=64"`
	// Duration is how long the charge takes.
	Duration *spec.Duration `json:"duration,omitempty"`
	// ChargeMAh is the charge that passes through the pack, in milliampere hours.
	ChargeMAh *float64 `json:"charge_mah,omitempty" validate:"gte=0,lte=1000000000"`
	// EnergyWh is the energy that enters the pack, in watt hours: what is stored and heat_wh.
	EnergyWh *float64 `json:"energy_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// StoredWh is the part of energy_wh that stays in the cells, in watt hours.
	StoredWh *float64 `json:"stored_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// HeatWh is the part of energy_wh that turns to heat in the pack and in the balancing circuit, in watt hours.
	HeatWh *float64 `json:"heat_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// WallEnergyWh is the energy drawn from the wall, in watt hours.
	WallEnergyWh *float64 `json:"wall_energy_wh,omitempty" validate:"gte=0,lte=100000000000000"`
	// WallCost is the cost of that energy, in the currency of energy_price_per_kwh. Absent without a price.
	WallCost *float64 `json:"wall_cost,omitempty" validate:"gte=0,lte=100000000000000000" unit:"money, in the currency of energy_price_per_kwh"`
	// Balancing says what equalizing the cells takes, or what is left undone without it. Absent for nimh.
	Balancing *Balancing `json:"balancing,omitempty"`
	// Temperature is the expected temperature of the pack.
	Temperature *Temperature `json:"temperature,omitempty"`
	// Curve is the charge sampled evenly in time, first and last moment included. Absent unless curve_points asks for it.
	Curve []Point `json:"curve,omitempty" validate:"max=500"`
	// Steps is the procedure at the bench, in order.
	Steps []string `json:"steps,omitempty" validate:"max=64,dive,max=2000"`
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

// Settings is what to set on the charger.
type Settings struct {
	// Program is the program to choose.
	Program spec.Program `json:"program"`
	// Chemistry is the chemistry to choose.
	Chemistry spec.Chemistry `json:"chemistry"`
	// CellsSeries is the cell count to set or to verify, 1 to 32.
	CellsSeries int `json:"cells_series" validate:"gte=1,lte=32" unit:"cells"`
	// CurrentA is the charge current to set, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000"`
	// CurrentCRate is that current as a multiple of the rated capacity per hour.
	CurrentCRate float64 `json:"current_c_rate" validate:"gte=0,lte=100000"`
	// RecoveryCurrentA is the current to begin with, in amperes, until every cell is back above the chemistry's safe-start voltage. Present only when a cell is below it.
	RecoveryCurrentA *float64 `json:"recovery_current_a,omitempty" validate:"gte=0,lte=1000"`
	// EndVoltagePerCellV is the end-of-charge voltage of a cell in volts. Absent for nimh.
	EndVoltagePerCellV *float64 `json:"end_voltage_per_cell_v,omitempty" validate:"gte=0,lte=6"`
	// EndVoltageV is the end-of-charge voltage of the pack in volts: cells_series times that of a cell. Absent for nimh.
	EndVoltageV *float64 `json:"end_voltage_v,omitempty" validate:"gte=0,lte=192"`
	// TaperCurrentA is the current in amperes at which the charge ends. Absent for nimh.
	TaperCurrentA *float64 `json:"taper_current_a,omitempty" validate:"gte=0,lte=10000"`
	// Termination is how a nimh charge ends. Absent for lithium.
	Termination *Termination `json:"termination,omitempty"`
	// ChargeCutoffMAh is the charge in milliampere hours after which the charger must stop whatever it sees.
	ChargeCutoffMAh float64 `json:"charge_cutoff_mah" validate:"gte=0,lte=1000000000"`
	// TimeLimitMin is the time in minutes after which the charger must stop whatever it sees.
	TimeLimitMin float64 `json:"time_limit_min" validate:"gte=0,lte=100000000000"`
}

// Limit is one limit on the charge current.
type Limit struct {
	// Name says which limit it is.
	Name LimitName `json:"name"`
	// CurrentA is the current it allows, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000000000"`
	// Binding says whether this limit sets the current. It is true for exactly one.
	Binding bool `json:"binding"`
	// Because says where the number comes from.
	Because string `json:"because" validate:"max=500"`
}

// LimitName names a limit on the charge current.
type LimitName string

const (
	LimitPace              LimitName = "pace"                // the pace asked for
	LimitRequested         LimitName = "requested"           // the current asked for
	LimitDeadline          LimitName = "deadline"            // the lowest current that is ready in time
	LimitSmallPackRounding LimitName = "small_pack_rounding" // 1 C of a small pack, rounded up to the charger's step
	LimitLabel             LimitName = "label"               // the charge rate on the label, or common practice where nothing is printed
	LimitChargerCurrent    LimitName = "charger_current"     // the charger's largest current
	LimitChargerPower      LimitName = "charger_power"       // the charger's power at the end voltage
	LimitSupplyPower       LimitName = "supply_power"        // the supply's power at the end voltage
	LimitBalanceLead       LimitName = "balance_lead"        // the balance lead, where the charge current goes through it
	LimitConnector         LimitName = "connector"           // the connector's rating
	LimitWire              LimitName = "wire"                // the wire's gauge
	LimitTemperature       LimitName = "temperature"         // the reduced rate of a cold or warm pack
	LimitCondition         LimitName = "condition"           // the gentle rate of a worn or unknown pack
	LimitHeat              LimitName = "heat"                // the pack's own heat
	LimitVoltageDrop       LimitName = "voltage_drop"        // the rate up to which the clock may end a nimh charge
	LimitChargerStep       LimitName = "charger_step"        // the step in which the charger is set
)

// Enum lists the limits in the order they are reported.
func (LimitName) Enum() []string {
	return []string{
		string(LimitPace), string(LimitRequested), string(LimitDeadline), string(LimitSmallPackRounding),
		string(LimitLabel), string(LimitChargerCurrent), string(LimitChargerPower), string(LimitSupplyPower),
		string(LimitBalanceLead), string(LimitConnector), string(LimitWire), string(LimitTemperature),
		string(LimitCondition), string(LimitVoltageDrop), string(LimitHeat), string(LimitChargerStep),
	}
}

// Phase is one phase of the charge.
type Phase struct {
	// Kind says what holds the current.
	Kind PhaseKind `json:"kind"`
	// DurationMin is its expected length in minutes.
	DurationMin float64 `json:"duration_min" validate:"gte=0,lte=10000000000"`
	// ChargeMAh is the charge that passes in it, in milliampere hours.
	ChargeMAh float64 `json:"charge_mah" validate:"gte=0,lte=1000000000"`
	// StartCurrentA is the current at its start, in amperes.
	StartCurrentA float64 `json:"start_current_a" validate:"gte=0,lte=1000"`
	// EndCurrentA is the current at its end, in amperes.
	EndCurrentA float64 `json:"end_current_a" validate:"gte=0,lte=1000"`
	// StartVoltageV is the voltage of the pack under charge at its start, in volts. Absent for nimh.
	StartVoltageV *float64 `json:"start_voltage_v,omitempty" validate:"gte=0,lte=192"`
	// EndVoltageV is the voltage of the pack under charge at its end, in volts. Absent for nimh.
	EndVoltageV *float64 `json:"end_voltage_v,omitempty" validate:"gte=0,lte=192"`
	// StartChargePercent is the mean state of charge at its start, in percent, 0 to 100.
	StartChargePercent float64 `json:"start_charge_percent" validate:"gte=0,lte=100"`
	// EndChargePercent is the mean state of charge at its end, in percent, 0 to 100.
	EndChargePercent float64 `json:"end_charge_percent" validate:"gte=0,lte=100"`
}

// PhaseKind says what holds the current in a phase.
type PhaseKind string

const (
	Recovery        PhaseKind = "recovery"         // a low current until every cell is above the safe-start voltage
	ConstantCurrent PhaseKind = "constant_current" // the current that was set
	PowerLimited    PhaseKind = "power_limited"    // the charger's or the supply's power
	ConstantVoltage PhaseKind = "constant_voltage" // the highest cell held at its end voltage
	BalancingPhase  PhaseKind = "balancing"        // the full cells bypassed while the others catch up
)

// Enum lists the kinds of phase.
func (PhaseKind) Enum() []string {
	return []string{string(Recovery), string(ConstantCurrent), string(PowerLimited), string(ConstantVoltage), string(BalancingPhase)}
}

// Balancing says what equalizing the cells takes.
type Balancing struct {
	// TimeMin is the time spent balancing after the constant-voltage phase, in minutes.
	TimeMin float64 `json:"time_min" validate:"gte=0,lte=10000000000"`
	// BypassedMAh is the charge led past full cells, summed over the cells, in milliampere hours.
	BypassedMAh float64 `json:"bypassed_mah" validate:"gte=0,lte=10000000000"`
	// BypassedWh is that charge as heat in the charger, in watt hours; it is part of heat_wh.
	BypassedWh float64 `json:"bypassed_wh" validate:"gte=0,lte=1000000000000"`
	// RemainingSpreadMV is the difference between the highest and the lowest rested cell that remains, in millivolts.
	RemainingSpreadMV float64 `json:"remaining_spread_mv" validate:"gte=0,lte=6000"`
	// LeftOutMAh is the charge the lowest cell ends short of the highest, in milliampere hours.
	LeftOutMAh float64 `json:"left_out_mah" validate:"gte=0,lte=1000000000"`
}

// Temperature is the expected temperature of the pack during the charge.
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
}

// Point is one sample of the curve.
type Point struct {
	// TS is the time since the start, in seconds.
	TS float64 `json:"t_s" validate:"gte=0,lte=1000000000000"`
	// CurrentA is the charge current, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000"`
	// PackVoltageV is the voltage of the pack under charge, in volts. Absent for nimh.
	PackVoltageV *float64 `json:"pack_voltage_v,omitempty" validate:"gte=0,lte=192"`
	// HighestCellV is the voltage of the highest cell under charge, in volts. Absent for nimh.
	HighestCellV *float64 `json:"highest_cell_v,omitempty" validate:"gte=0,lte=6"`
	// LowestCellV is the voltage of the lowest cell under charge, in volts. Absent for nimh.
	LowestCellV *float64 `json:"lowest_cell_v,omitempty" validate:"gte=0,lte=6"`
	// ChargePercent is the mean state of charge, in percent, 0 to 100.
	ChargePercent float64 `json:"charge_percent" validate:"gte=0,lte=100"`
	// TemperatureDegC is the temperature of the pack, in degrees Celsius.
	TemperatureDegC float64 `json:"temperature_degc" validate:"gte=-60,lte=1000"`
}

// Termination is how a nimh charge ends: by whichever comes first.
type Termination struct {
	// Method is what ends the charge in the ordinary course.
	Method TerminationMethod `json:"method"`
	// VoltageDropMV is the fall of the pack's voltage from its peak, in millivolts, that ends a fast charge.
	VoltageDropMV *float64 `json:"voltage_drop_mv,omitempty" validate:"gte=0,lte=1000"`
	// VoltageDropPerCellMV is the same for one cell, in millivolts.
	VoltageDropPerCellMV *float64 `json:"voltage_drop_per_cell_mv,omitempty" validate:"gte=0,lte=100"`
	// TemperatureSlopeKPerMin is the rise of temperature, in kelvin per minute, that ends a fast charge.
	TemperatureSlopeKPerMin *float64 `json:"temperature_slope_k_per_min,omitempty" validate:"gte=0,lte=10"`
	// TemperatureCutoffDegC is the pack temperature, in degrees Celsius, that ends any charge.
	TemperatureCutoffDegC float64 `json:"temperature_cutoff_degc" validate:"gte=0,lte=100"`
	// IgnoreFirstMin is the time at the start, in minutes, during which a voltage drop means nothing.
	IgnoreFirstMin *float64 `json:"ignore_first_min,omitempty" validate:"gte=0,lte=10000"`
}

// TerminationMethod is what ends a nimh charge.
type TerminationMethod string

const (
	ByVoltageDrop TerminationMethod = "voltage_drop" // the fall of voltage past the peak, backed by the temperature slope
	ByTime        TerminationMethod = "time"         // the clock: too slow a charge for a voltage drop to be seen
)

// Enum lists the methods.
func (TerminationMethod) Enum() []string { return []string{string(ByVoltageDrop), string(ByTime)} }
