// Package emit writes a plan as tickets for the devices: one XJDF for every
// operation of a plan, with the device, the times, the materials, what comes in
// and goes out and the parameters of the process. The tickets are linked by the
// ExternalID of the components that go from one to the next, and written in the
// same bytes for the same plan and clock.
package emit
