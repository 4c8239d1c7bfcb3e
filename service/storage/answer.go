package storage

import "github.com/wattkeel/wattkeel/service/spec"

// Plan says how to put a pack away: whether to charge it, discharge it or leave
// it, how far and for how long. With verdict stop it holds no settings, limits,
// phases, times, curve or alternatives: only what was found and what to do about
// it.
type Plan struct {
	// Verdict is the worst severity among the findings: clear, caution or stop.
	Verdict spec.Verdict `json:"verdict"`
	// Action is what brings the pack to storage charge.
	Action Action `json:"action"`
	// Because says why that is the action.
	Because string `json:"because" validate:"max=500"`
	// TargetCellVoltageV is the resting voltage of a cell at storage charge, in volts. Absent for nimh, which has none.
	TargetCellVoltageV *float64 `json:"target_cell_voltage_v,omitempty" validate:"gte=0,lte=6"`
	// TargetChargePercent is the state of charge at storage charge, in percent, 0 to 100.
	TargetChargePercent float64 `json:"target_charge_percent" validate:"gte=0,lte=100"`
	// LeaveFromPercent is the state of charge, in percent, from which on a cell is left as it is.
	LeaveFromPercent float64 `json:"leave_from_percent" validate:"gte=0,lte=100"`
	// LeaveToPercent is the state of charge, in percent, up to which a cell is left as it is.
	LeaveToPercent float64 `json:"leave_to_percent" validate:"gte=0,lte=100"`
	// Start is the state of charge taken as the start.
	Start spec.Start `json:"start"`
	// ChargeMAh is the charge to move through the pack's terminals, into it or out of it as the action says, in milliampere hours. Absent for leave, and when the verdict is stop.
	ChargeMAh *float64 `json:"charge_mah,omitempty" validate:"gte=0,lte=1000000000"`
	// Settings is what to set on the charger. Absent for leave, where no charger here can do it, and when the verdict is stop.
	Settings *Settings `json:"settings,omitempty"`
	// Limits lists every current limit considered; exactly one binds. Absent where there are no settings.
	Limits []Limit `json:"limits,omitempty" validate:"max=32"`
	// Phases are the phases, in order. Absent where there are no settings.
	Phases []Phase `json:"phases,omitempty" validate:"max=64"`
	// Duration is how long it takes on the charger. Absent where there are no settings.
	Duration *spec.Duration `json:"duration,omitempty"`
	// EnergyWh is the energy that passes through the pack's terminals, in watt hours. Absent where there are no settings.
	EnergyWh *float64 `json:"energy_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// StoredWh is the energy that the cells gain or give up, in watt hours: energy_wh less heat_wh for a charge, energy_wh and heat_wh for a discharge.
	StoredWh *float64 `json:"stored_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// HeatWh is the energy that turns to heat in the pack and in the balancing circuit, in watt hours.
	HeatWh *float64 `json:"heat_wh,omitempty" validate:"gte=0,lte=1000000000000"`
	// LoadedStopVoltageV is the voltage of a cell under the discharge, in volts, on average, at the moment when enough has passed: it lies below the target, at which a charger that stops by the voltage under load stops short. Absent but for a discharge on the charger.
	LoadedStopVoltageV *float64 `json:"loaded_stop_voltage_v,omitempty" validate:"gte=0,lte=6"`
	// ReboundV is how far a cell's voltage rises after the discharge, in volts, on average.
	ReboundV *float64 `json:"rebound_v,omitempty" validate:"gte=0,lte=6"`
	// LeftUndoneMAh is what a charger that stops when the cells show the target under load leaves in the pack, in milliampere hours.
	LeftUndoneMAh *float64 `json:"left_undone_mah,omitempty" validate:"gte=0,lte=1000000000"`
	// Balancing says what equalizing the cells takes, or what is left undone without it. Absent where there are no settings.
	Balancing *Balancing `json:"balancing,omitempty"`
	// Curve is the way to storage charge on the charger, sampled evenly in time, first and last moment included. Absent unless curve_points asks for it.
	Curve []Point `json:"curve,omitempty" validate:"max=500"`
	// Alternatives are ways without the charger: where it cannot discharge, where there is none, or where it takes more than three hours; and running it down under the load, where one is given.
	Alternatives []Alternative `json:"alternatives,omitempty" validate:"max=8"`
	// Ageing compares what the pack loses for good while it lies. Absent for nimh, of which no published result was found.
	Ageing *Ageing `json:"ageing,omitempty"`
	// Steps is the procedure, in order.
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

// Action is what brings a pack to storage charge.
type Action string

const (
	Charge    Action = "charge"    // it holds too little
	Discharge Action = "discharge" // it holds too much
	Leave     Action = "leave"     // nothing is to be done, or nothing can be
)

// Enum lists the actions.
func (Action) Enum() []string { return []string{string(Charge), string(Discharge), string(Leave)} }

// Settings is what to set on the charger.
type Settings struct {
	// Program is the program to choose.
	Program Program `json:"program"`
	// Chemistry is the chemistry to choose.
	Chemistry spec.Chemistry `json:"chemistry"`
	// CellsSeries is the cell count to set or to verify, 1 to 32.
	CellsSeries int `json:"cells_series" validate:"gte=1,lte=32" unit:"cells"`
	// CurrentA is the current to set, in amperes. Of the limits only charger_power may be lower: by that the charger holds itself back.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000"`
	// CurrentCRate is that current as a multiple of the rated capacity per hour.
	CurrentCRate float64 `json:"current_c_rate" validate:"gte=0,lte=100000"`
	// PowerW is the power, in watts, by which the charger holds a discharge back. Absent where it does not.
	PowerW *float64 `json:"power_w,omitempty" validate:"gte=0,lte=100000"`
	// RecoveryCurrentA is the current to begin a charge with, in amperes, until every cell is back above the chemistry's safe-start voltage. Present only when a cell is below it.
	RecoveryCurrentA *float64 `json:"recovery_current_a,omitempty" validate:"gte=0,lte=1000"`
	// EndVoltagePerCellV is, for a charge, the end-of-charge voltage of a cell, in volts, which the charge cut-off comes before; for a storage program, the resting voltage it brings a cell to; for a discharge program, the voltage of a cell under load to stop at.
	EndVoltagePerCellV float64 `json:"end_voltage_per_cell_v" validate:"gte=0,lte=6"`
	// EndVoltageV is that voltage for the pack, in volts: cells_series times that of a cell.
	EndVoltageV float64 `json:"end_voltage_v" validate:"gte=0,lte=192"`
	// TaperCurrentA is the current, in amperes, at which a charge would end if it came to its end voltage first. Absent for a discharge.
	TaperCurrentA *float64 `json:"taper_current_a,omitempty" validate:"gte=0,lte=10000"`
	// ChargeCutoffMAh is the charge, in milliampere hours, after which the charger must stop whatever it sees.
	ChargeCutoffMAh float64 `json:"charge_cutoff_mah" validate:"gte=0,lte=1000000000"`
	// TimeLimitMin is the time in minutes after which the charger must stop whatever it sees.
	TimeLimitMin float64 `json:"time_limit_min" validate:"gte=0,lte=100000000000"`
}

// Program is the charger program to choose.
type Program string

const (
	StorageProgram   Program = "storage"           // brings a pack to storage charge by itself
	DischargeProgram Program = "discharge"         // discharges to a voltage that is set
	ChargeBalanced   Program = "charge_balanced"   // charges, cells equalized
	ChargeUnbalanced Program = "charge_unbalanced" // charges, without equalizing the cells
)

// Enum lists the programs.
func (Program) Enum() []string {
	return []string{string(StorageProgram), string(DischargeProgram), string(ChargeBalanced), string(ChargeUnbalanced)}
}

// Limit is one limit on the current.
type Limit struct {
	// Name says which limit it is.
	Name LimitName `json:"name"`
	// CurrentA is the current it allows, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000000000"`
	// Binding says whether this limit sets the current at the start. It is true for exactly one.
	Binding bool `json:"binding"`
	// Because says where the number comes from.
	Because string `json:"because" validate:"max=500"`
}

// LimitName names a limit on the current.
type LimitName string

const (
	LimitPace              LimitName = "pace"                // no faster than needed
	LimitSmallPackRounding LimitName = "small_pack_rounding" // of a charge: 1 C of a small pack, rounded up to the charger's step
	LimitLabel             LimitName = "label"               // the rate on the label, or common practice where nothing is printed
	LimitChargerCurrent    LimitName = "charger_current"     // the charger's largest current
	LimitChargerPower      LimitName = "charger_power"       // the charger's power: of a charge at the end voltage, of a discharge at the start
	LimitSupplyPower       LimitName = "supply_power"        // of a charge: the supply's power at the end voltage
	LimitBalanceLead       LimitName = "balance_lead"        // the balance lead, where the current goes through it
	LimitConnector         LimitName = "connector"           // the connector's rating
	LimitWire              LimitName = "wire"                // the wire's gauge
	LimitTemperature       LimitName = "temperature"         // of a charge: the reduced rate of a cold or warm pack
	LimitCondition         LimitName = "condition"           // the gentle rate of a worn or unknown pack
	LimitHeat              LimitName = "heat"                // of a charge: the pack's own heat
	LimitLoadedFloor       LimitName = "loaded_floor"        // of a discharge: no cell goes below its lowest voltage under load
	LimitChargerStep       LimitName = "charger_step"        // the step in which the charger is set
)

// Enum lists the limits.
func (LimitName) Enum() []string {
	return []string{
		string(LimitPace), string(LimitSmallPackRounding), string(LimitLabel), string(LimitChargerCurrent),
		string(LimitChargerPower), string(LimitSupplyPower), string(LimitBalanceLead), string(LimitConnector),
		string(LimitWire), string(LimitTemperature), string(LimitCondition), string(LimitHeat),
		string(LimitLoadedFloor), string(LimitChargerStep),
	}
}

// Phase is one phase on the charger.
type Phase struct {
	// Kind says what sets the current.
	Kind PhaseKind `json:"kind"`
	// DurationMin is its expected length in minutes.
	DurationMin float64 `json:"duration_min" validate:"gte=0,lte=10000000000"`
	// ChargeMAh is the charge that passes through the pack's terminals in it, in milliampere hours.
	ChargeMAh float64 `json:"charge_mah" validate:"gte=0,lte=1000000000"`
	// StartCurrentA is the current at its start, in amperes.
	StartCurrentA float64 `json:"start_current_a" validate:"gte=0,lte=1000"`
	// EndCurrentA is the current at its end, in amperes.
	EndCurrentA float64 `json:"end_current_a" validate:"gte=0,lte=1000"`
	// StartVoltageV is the voltage of the pack at its start, in volts.
	StartVoltageV float64 `json:"start_voltage_v" validate:"gte=0,lte=192"`
	// EndVoltageV is the voltage of the pack at its end, in volts.
	EndVoltageV float64 `json:"end_voltage_v" validate:"gte=0,lte=192"`
	// StartChargePercent is the mean state of charge at its start, in percent, 0 to 100.
	StartChargePercent float64 `json:"start_charge_percent" validate:"gte=0,lte=100"`
	// EndChargePercent is the mean state of charge at its end, in percent, 0 to 100.
	EndChargePercent float64 `json:"end_charge_percent" validate:"gte=0,lte=100"`
}

// PhaseKind says what sets the current in a phase.
type PhaseKind string

const (
	Recovery        PhaseKind = "recovery"         // of a charge: a low current until every cell is above the safe-start voltage
	ConstantCurrent PhaseKind = "constant_current" // the current that was set
	PowerLimited    PhaseKind = "power_limited"    // the charger's power
	ConstantVoltage PhaseKind = "constant_voltage" // of a charge: the highest cell held at its end voltage
	BalancingPhase  PhaseKind = "balancing"        // the high cells bled, or the full cells bypassed
)

// Enum lists the kinds of phase.
func (PhaseKind) Enum() []string {
	return []string{string(Recovery), string(ConstantCurrent), string(PowerLimited), string(ConstantVoltage), string(BalancingPhase)}
}

// Balancing says what equalizing the cells takes.
type Balancing struct {
	// TimeMin is the time spent balancing at the end, in minutes.
	TimeMin float64 `json:"time_min" validate:"gte=0,lte=10000000000"`
	// BypassedMAh is the charge bled from high cells, or led past full ones, summed over the cells, in milliampere hours.
	BypassedMAh float64 `json:"bypassed_mah" validate:"gte=0,lte=10000000000"`
	// BypassedWh is that charge as heat in the charger, in watt hours; it is part of heat_wh.
	BypassedWh float64 `json:"bypassed_wh" validate:"gte=0,lte=1000000000000"`
	// RemainingSpreadMV is the difference between the highest and the lowest rested cell that remains, in millivolts.
	RemainingSpreadMV float64 `json:"remaining_spread_mv" validate:"gte=0,lte=6000"`
}

// Point is one sample of the curve.
type Point struct {
	// TS is the time since the start, in seconds.
	TS float64 `json:"t_s" validate:"gte=0,lte=1000000000000"`
	// CurrentA is the current through the pack's terminals, in amperes.
	CurrentA float64 `json:"current_a" validate:"gte=0,lte=1000"`
	// PackVoltageV is the voltage of the pack, in volts.
	PackVoltageV float64 `json:"pack_voltage_v" validate:"gte=0,lte=192"`
	// HighestCellV is the voltage of the highest cell, in volts.
	HighestCellV float64 `json:"highest_cell_v" validate:"gte=0,lte=6"`
	// LowestCellV is the voltage of the lowest cell, in volts.
	LowestCellV float64 `json:"lowest_cell_v" validate:"gte=0,lte=6"`
	// ChargePercent is the mean state of charge, in percent, 0 to 100.
	ChargePercent float64 `json:"charge_percent" validate:"gte=0,lte=100"`
}
