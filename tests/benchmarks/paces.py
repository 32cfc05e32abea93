"""How fast voices speak in a class: words a minute, pauses inside a cue included.

Run: ``python tests/benchmarks/paces.py joe ada``; the figure goes into the voice file
and voices/README.md. The time of a cue is from its first sound to its last.
"""

from __future__ import annotations

import sys

from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.speech.languages import primary
from cuetrack.speech.voices import voice_named
from cuetrack.times import SAMPLE_RATE_HZ

CUES = {
    "en": (
        "Next: heel dig. One heel forward, toes up, then the other.",
        "Next: thigh stretch. The right leg first. Heel down, back flat, and hold.",
        "Sit tall, near the front of the chair, your feet flat on the floor.",
        "A rising tone means start. Three falling notes mean rest.",
        "Chest pain, dizzy, or very short of breath? Ease off, stop, and tell someone.",
        "Now the main part: four movements, two rounds. Work for forty seconds.",
        "Recovery: easy march for forty-five seconds. Slow, small steps.",
        "Easier: make the movement smaller, or rest and watch.",
        "Shoulders down. Breathe easily.",
        "Put your light hand weights down, on your lap or a chair.",
        "You should be able to talk in short sentences.",
        "That was the last one. Well done. Let your breath settle.",
    ),
    "es": (
        "Siéntese erguido, con los pies apoyados en el suelo.",
        "Ahora la marcha suave, cuarenta segundos. Levante un pie y luego el otro.",
        "Si siente dolor en el pecho o mareo, pare y avise a alguien.",
        "Descanse. Respire con calma y beba un poco de agua.",
        "Quedan diez segundos. Mantenga los hombros bajos.",
        "Baje los brazos despacio y apoye las manos en las piernas.",
    ),
    "fr": (
        "Asseyez-vous bien droit, les deux pieds à plat sur le sol.",
        "Maintenant la marche douce, quarante secondes. Levez un pied, puis l'autre.",
        "En cas de douleur à la poitrine ou de vertige, arrêtez et prévenez quelqu'un.",
        "Reposez-vous. Respirez calmement et buvez un peu d'eau.",
        "Encore dix secondes. Gardez les épaules basses.",
        "Baissez les bras lentement et posez les mains sur les cuisses.",
    ),
    "it": (
        "Sedetevi dritti, con i piedi ben appoggiati a terra.",
        "Ora la marcia leggera, quaranta secondi. Alzate un piede e poi l'altro.",
        "Se sentite dolore al petto o capogiro, fermatevi e avvisate qualcuno.",
        "Riposate. Respirate con calma e bevete un po' d'acqua.",
        "Ancora dieci secondi. Tenete le spalle basse.",
        "Abbassate le braccia piano e appoggiate le mani sulle gambe.",
    ),
    "pt": (
        "Sente-se direito, com os pés bem apoiados no chão.",
        "Agora a marcha leve, quarenta segundos. Levante um pé e depois o outro.",
        "Se sentir dor no peito ou tontura, pare e avise alguém.",
        "Descanse. Respire com calma e beba um pouco de água.",
        "Faltam dez segundos. Mantenha os ombros baixos.",
        "Baixe os braços devagar e apoie as mãos nas pernas.",
    ),
}


def words_a_minute(name: str) -> float:
    """Return the pace of a voice over the cues of its language."""
    voice = voice_named(name)
    engine = open_engine(voice)
    words, frames = 0, 0
    for cue in CUES[primary(voice.language)]:
        clip = finish(engine.render(cue))
        words += len(cue.split())
        frames += clip.speech_end - clip.speech_start
    return words / (frames / SAMPLE_RATE_HZ / 60)


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        sys.stdout.write(f"{asked}: {words_a_minute(asked):.0f} words a minute\n")
        sys.stdout.flush()
