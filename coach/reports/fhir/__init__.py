"""The HL7 FHIR R4 export, the same in R4B."""
