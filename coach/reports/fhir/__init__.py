"""The HL7 FHIR R4 export."""
