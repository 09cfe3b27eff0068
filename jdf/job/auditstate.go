package job

// nodeStates turns the status of a job phase or of a node into what the device
// does. A status that is not listed, such as Part or Pool, says nothing about
// a device.
//
// Source: JDF schema, eNodeStatus_ and eNodePhaseTimeStatus_; XJDF schema,
// NodeStatus. That a suspended or spawned job takes no time of the device is
// from memory: suspending frees the device for other jobs, stopping does not.
var nodeStates = map[string]State{
	"Setup":             StateMakeready,
	"TestRunInProgress": StateMakeready,
	"InProgress":        StateRun,
	"Cleanup":           StateWash,
	"Stopped":           StateStopped,
	"Suspended":         StateOff,
	"Spawned":           StateOff,
	"Waiting":           StateOff,
	"Ready":             StateOff,
	"FailedTestRun":     StateDone,
	"Completed":         StateDone,
	"Aborted":           StateDone,
}

// firstDeviceStates turns the DeviceStatus of JDF and JMF into the neutral state.
//
// Source: JDF schema, eDeviceStatus_.
var firstDeviceStates = map[string]State{
	"Idle":    StateIdle,
	"Setup":   StateMakeready,
	"Running": StateRun,
	"Cleanup": StateWash,
	"Down":    StateStopped,
	"Stopped": StateStopped,
}

// secondDeviceStates turns the Status of an XJDF DeviceInfo into the neutral
// state. NonProductive, a device that is up but kept from work, counts as
// stopped: the machine is tied up, and somebody should say why.
//
// Source: XJDF schema, DeviceStatus.
var secondDeviceStates = map[string]State{
	"Idle":          StateIdle,
	"Setup":         StateMakeready,
	"Production":    StateRun,
	"Cleanup":       StateWash,
	"NonProductive": StateStopped,
	"Stopped":       StateStopped,
	"Offline":       StateOff,
}

// StateOfNode is the neutral state of a status of a node or job phase, of
// either generation.
func StateOfNode(status string) State { return nodeStates[status] }

// StateOfDevice is the neutral state of a device status. The generations have
// no word in common with another meaning, so that one question serves both.
func StateOfDevice(status string) State {
	if s, ok := firstDeviceStates[status]; ok {
		return s
	}
	return secondDeviceStates[status]
}
