"""What the voice may say of a movement, as one text."""


def script_of(movement):
    """Every wording of a movement's own texts, a sentence a line."""
    lines = [f"Next: {movement.name}.", movement.how, movement.how_short]
    lines += movement.form
    if movement.easier:
        lines.append(f"If you want it easier, {movement.easier}.")
    if movement.harder:
        lines.append(f"If you want more, {movement.harder}.")
    if movement.breathing:
        lines.append(movement.breathing)
    if movement.caution:
        lines.append(f"Take care: {movement.caution}.")
    return "\n".join(line for line in lines if line)
