"""From a finding to the control on the plate that it is about."""

from profiles.facts.profile import controls_of
from profiles.model import Finding
from profiles.tui.session import Session


def aim_at(session: Session, finding: Finding) -> bool:
    """Choose the device, profile and control of a finding; returns whether there is a control."""
    documents = [spot.document for spot in (finding.spot, *(one.spot for one in finding.related))]
    for document in documents:
        if document in session.library.profiles and document != session.profile_id:
            session.choose_profile(document)
            break
    for device in _devices(session, documents):
        names = _controls(session, device, finding)
        if names:
            if device != session.device_id:
                session.choose_device(device)
            session.select(names[0])
            return True
    return False


def _devices(session: Session, documents: list[str]) -> list[str]:
    named = [one for one in documents if one in session.library.devices]
    profile = session.library.profiles.get(session.profile_id)
    bound = [one for one in profile.device_ids if one in session.library.devices] if profile else []
    return list(dict.fromkeys([*named, session.device_id, *bound]))


def _controls(session: Session, device: str, finding: Finding) -> list[str]:
    value = session.library.devices.get(device)
    if value is None:
        return []
    return controls_of(value, session.view.link, finding)
