"""The requirements of the ASVS 5.0.0 at levels 1 and 2, by their numbers alone (owasp.org/asvs, the standard's CSV)."""

SECTIONS = """
V1.1 1-2; V1.2 1-9; V1.3 1-11; V1.4 1-3; V1.5 1-2; V2.1 1-3; V2.2 1-3; V2.3 1-4; V2.4 1-1; V3.2 1-2; V3.3 1-4;
V3.4 1-6; V3.5 1-5; V3.7 1-2; V4.1 1-3; V4.2 1-1; V4.3 1-2; V4.4 1-4; V5.1 1-1; V5.2 1-3; V5.3 1-2; V5.4 1-3;
V6.1 1-3; V6.2 1-12; V6.3 1-4; V6.4 1-4; V6.5 1-5; V6.6 1-3; V6.8 1-4; V7.1 1-3; V7.2 1-4; V7.3 1-2; V7.4 1-5;
V7.5 1-2; V7.6 1-2; V8.1 1-2; V8.2 1-3; V8.3 1-1; V8.4 1-1; V9.1 1-3; V9.2 1-4; V10.1 1-2; V10.2 1-2; V10.3 1-4;
V10.4 1-11; V10.5 1-5; V10.6 1-2; V10.7 1-3; V11.1 1-2; V11.2 1-3; V11.3 1-3; V11.4 1-4; V11.5 1-1; V11.6 1-1;
V12.1 1-3; V12.2 1-2; V12.3 1-4; V13.1 1-1; V13.2 1-5; V13.3 1-2; V13.4 1-5; V14.1 1-2; V14.2 1-4; V14.3 1-3;
V15.1 1-3; V15.2 1-3; V15.3 1-7; V16.1 1-1; V16.2 1-5; V16.3 1-4; V16.4 1-3; V16.5 1-3; V17.1 1-1; V17.2 1-4;
V17.3 1-2
"""


def requirements() -> list[str]:
    """Every number, "V1.1.1" and so on."""
    numbers = []
    for part in SECTIONS.replace("\n", " ").split(";"):
        section, span = part.split()
        first, last = map(int, span.split("-"))
        numbers += [f"{section}.{n}" for n in range(first, last + 1)]
    return numbers
