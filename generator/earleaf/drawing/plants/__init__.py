from collections.abc import Mapping
from .picture import Picture
import importlib
MODS={}
def compose(form, stage, target, *, ident):
    p = Picture(ident, 260)
    for m in ('corn','legume','grain','broadleaf','compound','forage','tree','nut','grape','rosette','vine','berry','bulb','tropical'):
        try: mod=importlib.import_module('.'+m,__name__)
        except ModuleNotFoundError: continue
        if form in mod.KINDS:
            mod.draw(p, form, stage, target); return p
    raise KeyError(form)
def draw(form, stage, target, *, title, description, ident, labels):
    return compose(form, stage, target, ident=ident).svg(title, description, labels)
