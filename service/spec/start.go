package spec

// Start is the state of charge taken as the start.
type Start struct {
	// From says where it came from.
	From StartFrom `json:"from"`
	// ChargePercent is the mean of the cells in percent, 0 to 100.
	ChargePercent float64 `json:"charge_percent" validate:"gte=0,lte=100"`
	// CellChargesPercent is the state of charge of each series group in percent, 0 to 100, in the order of the cells.
	CellChargesPercent []float64 `json:"cell_charges_percent" validate:"max=32,dive,gte=0,lte=100"`
}

// StartFrom says where the starting state of charge came from.
type StartFrom string

const (
	FromCellVoltages  StartFrom = "cell_voltages"  // read off the open-circuit curve, cell by cell
	FromPackVoltage   StartFrom = "pack_voltage"   // read off the open-circuit curve, the pack's voltage shared evenly
	FromChargePercent StartFrom = "charge_percent" // as the request gave it
	FromAssumedEmpty  StartFrom = "assumed_empty"  // nothing given that tells: taken as empty, for a charge
	FromAssumedFull   StartFrom = "assumed_full"   // nothing given that tells: taken as just charged, for a run
	FromAssumedAny    StartFrom = "assumed_any"    // nothing given that tells: taken as full, though it may be anything, for storage
	FromAssumedLanded StartFrom = "assumed_landed" // nothing given that tells: taken as put away after use
)

// Enum lists the origins.
func (StartFrom) Enum() []string {
	return []string{
		string(FromCellVoltages), string(FromPackVoltage), string(FromChargePercent), string(FromAssumedEmpty),
		string(FromAssumedFull), string(FromAssumedAny), string(FromAssumedLanded),
	}
}
